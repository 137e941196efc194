"""A page walked from its beginning to its end by Tab alone, and what was met at each step."""

from dataclasses import dataclass
from typing import Any

from playwright.sync_api import Page

CONTROLS = "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']"
MOST_STEPS = 4000
"""More controls than any page has: a walk that long goes in a circle."""
AT_ONCE = 40
"""Steps between two looks at whether the walk is over."""
LEAST_RATIO = 3.0
"""Contrast of the ring with what it lies on (WCAG 2.2, 1.4.11)."""
LEAST_PIXELS = 24
"""Side of a target (WCAG 2.2, 2.5.8). A link in a line of text or a cell is judged by axe-core,
which knows the exception for targets that stand far enough apart."""


@dataclass(frozen=True, slots=True)
class Step:
    """One control that Tab came to.

    Parameters
    ----------
    number : its place among the controls of the page; -1: what scrolls and is no control.
    html : how it begins.
    wrong : what is wrong with its focus or its size.
    """

    number: int
    html: str
    wrong: tuple[str, ...]


def walk(page: Page) -> list[Step]:
    """Press Tab until the page is left or begins anew.

    A field for a date has several steps within; they count as one.
    """
    page.evaluate(_LISTEN, [CONTROLS, LEAST_RATIO, LEAST_PIXELS])
    for _ in range(MOST_STEPS // AT_ONCE):
        for _ in range(AT_ONCE):
            page.keyboard.press("Tab")
        if page.evaluate("() => window.walk.over"):
            break
    told: list[dict[str, Any]] = page.evaluate("() => window.walk.steps")
    return [Step(one["number"], one["html"], tuple(one["wrong"])) for one in told]


def faults_of_walk(page: Page) -> list[str]:
    """What is wrong for somebody who has a keyboard alone: one line each."""
    steps = walk(page)
    wrong = [f"{said}: {one.html}" for one in steps for said in one.wrong]
    reached = [one.number for one in steps if one.number >= 0]
    if reached != sorted(reached):
        wrong.append(f"not in the order of the page: {reached}")
    left = [one for one in page.evaluate(_WANTED) if one not in reached]
    said = "(some) => some.map((one) => window.walk.controls[one].outerHTML.slice(0, 90))"
    return wrong + [f"not reached: {html}" for html in page.evaluate(said, left)]


_LISTEN = """([all, ratio, pixels]) => {
  window.scrollTo(0, 0);
  document.activeElement.blur();
  const controls = [...document.querySelectorAll(all)];
  const look = (one) => { const s = getComputedStyle(one);
    return [s.outlineStyle, s.outlineWidth, s.boxShadow, s.borderColor, s.backgroundColor] + ""; };
  const before = new Map(controls.map((one) => [one, look(one)]));
  const walk = window.walk = { controls: controls, steps: [], over: false };
  const passed = new Set();
  let last = null, same = 0, step = null;

  const light = (color) => { const [r, g, b] = color.match(/[\\d.]+/g).map((v) => {
    const c = Number(v) / 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const under = (one) => {
    for (let up = one.parentElement; up; up = up.parentElement) {
      const color = getComputedStyle(up).backgroundColor;
      if (color !== "transparent" && !/, 0\\)$/.test(color)) return color;
    }
    return "rgb(255, 255, 255)";
  };
  const contrast = (a, b) => { const [low, high] = [light(a), light(b)].sort((x, y) => x - y);
    return (high + 0.05) / (low + 0.05); };

  const ring = (one) => {
    const s = getComputedStyle(one);
    if (s.outlineStyle === "none" || parseFloat(s.outlineWidth) < 2) return ["focus not seen"];
    if (before.get(one) === look(one)) return ["looks as it does without focus"];
    const found = contrast(s.outlineColor, under(one));
    return found < ratio ? ["ring of contrast " + found.toFixed(2)] : [];
  };
  const place = (one) => {
    const wrong = [], box = one.getClientRects()[0] || one.getBoundingClientRect();
    const left = Math.max(0, box.left), right = Math.min(innerWidth, box.right);
    const top = Math.max(0, box.top), bottom = Math.min(innerHeight, box.bottom);
    if (right - left < 1 || bottom - top < 1) return ["out of sight with the focus"];
    const seen = [0.1, 0.5, 0.9].some((x) => [0.1, 0.5, 0.9].some((y) => {
      const hit = document.elementFromPoint(left + x * (right - left), top + y * (bottom - top));
      return hit && (one.contains(hit) || hit.contains(one) && hit.tagName === "LABEL");
    }));
    if (!seen) wrong.push("hidden with the focus");
    const whole = (one.closest("label") || one).getBoundingClientRect();
    const text = one.tagName === "A" && getComputedStyle(one).display === "inline";
    if (controls.includes(one) && !text && Math.min(whole.width, whole.height) < pixels - 0.5)
      wrong.push("only " + whole.width.toFixed() + " x " + whole.height.toFixed() + " px");
    return wrong;
  };

  document.addEventListener("focusin", (event) => {
    const one = event.target;
    if (walk.over || one === last) return;
    if (passed.has(one)) { walk.over = true; return; }
    passed.add(one); last = one; same = 0;
    step = { number: controls.indexOf(one), html: one.outerHTML.slice(0, 100), wrong: ring(one) };
    walk.steps.push(step);
  });
  document.addEventListener("keydown", () => {
    const here = document.activeElement;
    if (walk.over || !step) return;
    if (here === document.body || here === document.documentElement) { walk.over = true; return; }
    // Where it stands is known only now: the page scrolls after the focus came.
    if (!step.placed) { step.wrong.push(...place(last)); step.placed = true; }
    same += 1;
    if (same > 12) { step.wrong.push("does not let the focus go"); walk.over = true; }
  }, true);
}"""

_WANTED = """() => window.walk.controls
  .map((one, number) => [number, one])
  .filter(([, one]) => one.isConnected && !one.disabled && one.tabIndex >= 0
    && one.checkVisibility({ checkVisibilityCSS: true }))
  .filter(([, one]) => !(one.type === "radio" && one.name && one !== (
    document.querySelector(`input[type=radio][name="${CSS.escape(one.name)}"]:checked`)
    || [...document.getElementsByName(one.name)].find((other) => !other.disabled))))
  .map(([number]) => number)"""
"""Numbers of the controls that Tab must reach; of radio buttons of one name only one."""
