/* What a page does beyond plain forms and links. Without it every page reads and every form posts. */
(function () {
  "use strict";
  /* Words of another language come with the page; the English text is the key. */
  const words = JSON.parse(document.documentElement.dataset.words || "{}");
  const word = (text) => words[text] || text;
  const person = document.body.dataset.person || "";
  const stored = (key) => { try { return JSON.parse(localStorage.getItem(key)); } catch (_) { return null; } };
  const store = (key, value) => {
    try {
      if (value === null) localStorage.removeItem(key); else localStorage.setItem(key, JSON.stringify(value));
    } catch (_) { /* a full or closed store only costs comfort */ }
  };

  /* News: events recorded since this page was made. It is told, never forced: a form may be half filled. */
  const live = document.getElementById("live");
  if (live && window.EventSource) {
    const first = Number(new URL(live.dataset.live, location.href).searchParams.get("after"));
    const news = new EventSource(live.dataset.live);
    news.addEventListener("recorded", (event) => {
      const more = Number(event.lastEventId) - first;
      const again = document.createElement("a");
      again.href = location.href.split("#")[0];
      again.textContent = more === 1 ? word("1 new event: show")
        : word("{} new events: show").replace("{}", more);
      live.replaceChildren(again);
    });
    news.addEventListener("over", () => { news.close(); live.textContent = word("Signed out"); });
    window.addEventListener("pagehide", () => news.close());
  }

  /* Drafts: what is typed into a form is there again after a restart or a lost connection. Only what
     differs from the page as it came is kept, so that a link that fills in a form still does. */
  const box = document.getElementById("outbox");
  const say = box ? JSON.parse(box.dataset.say) : {};
  const told = (text, ...values) => values.reduce((line, value) => line.replace("{}", value), text || "");
  const line = (text) => { const p = document.createElement("p"); p.textContent = text; return p; };
  const pressed = (text, act) => {
    const one = document.createElement("button");
    one.type = "button"; one.textContent = text; one.addEventListener("click", act);
    return one;
  };
  const ticks = (one) => ["radio", "checkbox"].includes(one.type);
  const fieldsOf = (form) => [...form.elements].filter((one) =>
    one.name && !["password", "hidden", "file", "submit", "fieldset"].includes(one.type));
  const asItCame = (one) => {
    if (ticks(one)) return one.checked === one.defaultChecked;
    if (one.options) return one.selectedIndex === Math.max(0, [...one.options].findIndex((o) => o.defaultSelected));
    return one.value === one.defaultValue;
  };
  const fieldKey = (one) => one.name + (ticks(one) ? "=" + one.value : "");
  const draftKey = (form) => "draft " + person + " " + (form.dataset.draft || form.getAttribute("action"));
  const typedIn = (form) => Object.fromEntries(fieldsOf(form).filter((one) => !asItCame(one))
    .map((one) => [fieldKey(one), ticks(one) ? one.checked : one.value]));
  const keepDraft = (form) => {
    const now = typedIn(form);
    store(draftKey(form), Object.keys(now).length ? now : null);
  };
  const fillIn = (form, kept) => fieldsOf(form).filter((one) => fieldKey(one) in kept).map((one) => {
    if (ticks(one)) one.checked = kept[fieldKey(one)]; else one.value = kept[fieldKey(one)];
    return one;
  });
  document.querySelectorAll("form[data-draft]").forEach((form) => {
    const kept = stored(draftKey(form));
    if (kept && fillIn(form, kept).length) {
      const note = line(say.draft + " ");
      note.className = "draft";
      note.append(pressed(say.empty, () => {
        store(draftKey(form), null); form.reset(); note.remove();
        form.dispatchEvent(new Event("input"));
      }));
      form.prepend(note);
    }
    form.addEventListener("input", () => keepDraft(form));
  });

  /* Faults: each line is tied to the field it names, so that it is seen and heard there as well. */
  const wordsOf = (one) => one && one.firstChild ? one.firstChild.textContent.trim() : "";
  const groupOf = (one) => { const group = one.closest("fieldset"); return wordsOf(group && group.querySelector("legend")); };
  const named = (one, name) => one.type !== "hidden" && one.willValidate !== undefined
    && (one.name === name || [...(one.labels || [])].some((label) => wordsOf(label) === name));
  let ties = 0;
  const untie = (form) => form.querySelectorAll("[data-tied]").forEach((one) => {
    const rest = (one.getAttribute("aria-describedby") || "").split(" ").filter((id) => id !== one.dataset.tied);
    if (rest.join("")) one.setAttribute("aria-describedby", rest.join(" ")); else one.removeAttribute("aria-describedby");
    one.removeAttribute("aria-invalid"); delete one.dataset.tied;
  });
  const tie = (form, lines) => {
    untie(form);
    lines.forEach((said) => {
      const [, before, name] = said.textContent.match(/^(?:([^:]*), )?([^:,]+): /) || [];
      const found = name ? [...form.elements].filter((one) => named(one, name)) : [];
      const field = found.find((one) => groupOf(one) === before) || found[0];
      if (!field || field.dataset.tied) return;
      said.id = said.id || "fault-" + (ties += 1);
      const described = [field.getAttribute("aria-describedby"), said.id].filter(Boolean);
      field.setAttribute("aria-describedby", described.join(" "));
      field.setAttribute("aria-invalid", "true"); field.dataset.tied = said.id;
    });
  };
  const sentFrom = [...document.querySelectorAll("main form[method=post]")]
    .filter((one) => one.getAttribute("action").split("?")[0] === location.pathname);
  // Of two forms with one address nobody can tell which was sent.
  if (sentFrom.length === 1) tie(sentFrom[0], document.querySelectorAll(".faulty p"));

  /* Measurements: one beyond its limit is said at once, and 'use' cannot be chosen with it. The
     server holds it to the limit as well. */
  document.querySelectorAll("form.inspect").forEach((form) => {
    const judge = () => form.querySelectorAll("[data-least], [data-most]").forEach((one) => {
      const { least, most } = one.dataset;
      const value = Number(one.value);
      const over = one.value.trim() !== "" && ((least && value < Number(least)) || (most && value > Number(most)));
      document.getElementById(one.getAttribute("aria-describedby")).textContent = over ? "\u25b2 " + say.beyond : "";
      const item = one.name.slice(one.name.indexOf(" "));
      form.querySelectorAll("input[type=radio][value=use]").forEach((use) => {
        if (use.name !== "verdict" + item) return;
        use.disabled = Boolean(over);
        if (over) use.checked = false;
      });
    });
    form.addEventListener("input", judge);
    // The Enter of a scanner or a keypad would press the first button, which is another item's.
    form.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && event.target.tagName === "INPUT") event.preventDefault();
    });
    judge();
  });

  /* Outbox: a booking made while the connection is down waits here, visibly, and is sent once. The
     event id in the form makes sending it twice harmless. What the record then refuses stays in
     sight until somebody has read it. */
  const outKey = "outbox " + person, refusedKey = "refused " + person;
  const waiting = () => stored(outKey) || [];
  const refused = () => stored(refusedKey) || [];
  const kept = (key, all) => { store(key, all.length ? all : null); };
  const drop = (key, id) => kept(key, (stored(key) || []).filter((one) => one.id !== id));
  const show = (news) => {
    if (!box) return;
    const all = waiting(), not = refused();
    box.hidden = !all.length && !not.length && !news;
    box.replaceChildren();
    if (news) box.append(line(news));
    if (all.length) {
      box.append(line(all.length === 1 ? told(say.waits, all[0].what) : told(say.wait, all.length)));
      box.append(pressed(say.send_now, () => flush(true)));
    }
    not.forEach((one) => {
      box.append(line("\u25b2 " + told(say.not_booked, one.what)), ...one.faults.map(line));
      const again = document.createElement("a");
      again.href = one.page; again.textContent = say.open_again;
      box.append(again, " ", pressed(say.read, () => { drop(refusedKey, one.id); show(""); }));
    });
  };
  const send = async (one) => {
    const answer = await fetch(one.action, {
      method: "POST", redirect: "manual", credentials: "same-origin",
      headers: { "content-type": "application/x-www-form-urlencoded", "accept": "application/json" },
      body: one.body, signal: AbortSignal.timeout ? AbortSignal.timeout(20000) : undefined,
    });
    if (answer.status >= 500 || answer.status === 429) throw new Error("server");
    const text = await answer.text();
    let said = null;
    try { said = JSON.parse(text); } catch (_) { said = { status: "refused", faults: [text || say.sign_in] }; }
    return { status: answer.type === "opaqueredirect" ? 401 : answer.status, said: said };
  };
  let busy = false;
  const flush = async (asked) => {
    if (busy) return;
    busy = true;
    let news = "";
    try {
      for (let one = waiting()[0]; one; one = waiting()[0]) {
        const answer = await send(one);
        if (answer.status === 401) { news = (answer.said.faults || [say.sign_in]).join(" "); break; }
        if (answer.said.status === "done") news = told(say.booked, one.what);
        else {
          kept(refusedKey, [...refused(), { id: one.id, what: one.what, page: one.page, faults: answer.said.faults || [] }]);
          if (one.draft) store(one.draft, { ...one.typed, ...(stored(one.draft) || {}) });
        }
        drop(outKey, one.id);
        show(news);
      }
    } catch (_) { if (asked) news = say.still_down; }
    busy = false;
    if (news || waiting().length) show(news);
  };
  const newId = () => "web-" + [...crypto.getRandomValues(new Uint8Array(16))]
    .map((one) => one.toString(16).padStart(2, "0")).join("");
  const opened = Date.now();
  const bringUp = (form) => form.querySelectorAll("input[data-now]").forEach((one) => {
    // The works' clock goes on while the page stands open; a time set by hand stays.
    if (one.value !== one.defaultValue) return;
    one.value = new Date(Date.parse(one.defaultValue + "Z") + Date.now() - opened).toISOString().slice(0, 16);
  });
  const bodyOf = (form, submitter) => {
    // Photos are sent by themselves; what goes with the form is their digest.
    const body = new URLSearchParams([...new FormData(form)].filter((one) => typeof one[1] === "string"));
    if (submitter && submitter.name) body.append(submitter.name, submitter.value);
    return body;
  };
  const forget = (form, only) => {
    // Of a form of items the drafts of those that were sent are done with: one item, or all with a verdict.
    const left = stored(draftKey(form)) || {}, data = new FormData(form);
    const stays = (name) => {
      const [, item] = name.split("=")[0].match(/^[a-z]+ (.+)$/) || [];
      if (only || !item) return Boolean(only) && item !== only;
      return Boolean(form.elements["verdict " + item]) && !data.has("verdict " + item);
    };
    const rest = Object.entries(left).filter(([name]) => stays(name));
    store(draftKey(form), rest.length ? Object.fromEntries(rest) : null);
  };
  const tell = (form, faults) => {
    const place = form.querySelector("[data-answer]");
    place.className = faults.length ? "faulty" : "";
    place.replaceChildren(...faults.map(line));
    tie(form, [...place.children]);
    if (faults.length) { place.focus(); place.scrollIntoView({ block: "center" }); }
  };
  const called = (form) => [form.dataset.book, ...["unit", "piece", "vehicle_id"]
    .map((name) => form.elements[name] && form.elements[name].value)].filter(Boolean).join(" ");
  const putByUntilSent = (form, one, only) => {
    kept(outKey, [...waiting(), one]);
    if (!waiting().some((other) => other.id === one.id)) { tell(form, [say.no_room]); return; }
    forget(form, only);
    form.elements.event_id.value = newId();
    if (form.classList.contains("inspect")) {
      // What waits in the box is not sent a second time by the next press.
      form.querySelectorAll("input").forEach((field) => {
        if (only ? field.name.endsWith(" " + only) : field.closest(".itemform")) field.disabled = true;
      });
    } else form.reset();
    show("");
  };
  /* Who sends items one by one goes on at the next: nobody scrolls back to it with gloves on. */
  const goOnAfter = (form, only) => {
    const marks = [...form.querySelectorAll("button[name=only]")].map((one) => one.value);
    const next = marks[marks.indexOf(only) + 1] || "";
    try { sessionStorage.setItem("go on", JSON.stringify({ at: location.pathname, next: next })); } catch (_) { /* comfort */ }
  };
  const goOn = (told) => {
    let left = null;
    try { left = JSON.parse(sessionStorage.getItem("go on")); sessionStorage.removeItem("go on"); } catch (_) { return false; }
    if (!left || !left.next || left.at !== location.pathname || !told) return false;
    const button = [...document.querySelectorAll("button[name=only]")].find((one) => one.value === left.next);
    const item = button && button.closest(".itemform");
    if (!item) return false;
    item.before(told);
    item.scrollIntoView({ block: "center" });
    const first = item.querySelector("input:not([type=hidden]):not([type=file]), button");
    if (first) first.focus({ preventScroll: true });
    return true;
  };
  document.querySelectorAll("form[data-book]").forEach((form) => {
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const buttons = form.querySelectorAll("button:not([type=button])");
      if ([...buttons].some((one) => one.disabled)) return;
      bringUp(form);
      const only = event.submitter && event.submitter.name === "only" ? event.submitter.value : "";
      const page = form.dataset.draft || location.pathname;
      const one = {
        id: form.elements.event_id.value + " " + only, action: form.getAttribute("action"), page: page,
        body: bodyOf(form, event.submitter).toString(), what: only || called(form),
        draft: form.dataset.draft ? draftKey(form) : "", typed: typedIn(form),
      };
      buttons.forEach((button) => { button.disabled = true; });
      tell(form, []);
      try {
        const answer = await send(one);
        if (answer.said.status === "done") {
          forget(form, only);
          if (only) goOnAfter(form, only);
          location.assign(answer.said.then || location.href);
          return;
        }
        if (answer.said.event_id) form.elements.event_id.value = answer.said.event_id;
        tell(form, answer.said.faults || [say.sign_in]);
      } catch (_) {
        // A password is never put by.
        if (form.querySelector("input[type=password]")) tell(form, [say.no_line]);
        else putByUntilSent(form, one, only);
      }
      buttons.forEach((button) => { button.disabled = false; });
    });
  });
  if (person) {
    show("");
    window.addEventListener("online", () => flush());
    window.addEventListener("storage", (event) => { if ([outKey, refusedKey].includes(event.key)) show(""); });
    setInterval(() => { if (waiting().length) flush(); }, 4000);
    if (waiting().length) flush();
  }
  /* Long tables: the focus goes on with the first row that came; a search looks through all rows. */
  document.querySelectorAll(".cut").forEach((cut) => {
    const whole = cut.querySelector(".whole");
    whole.addEventListener("toggle", () => {
      if (!whole.open || !whole.contains(document.activeElement)) return;
      const row = cut.querySelectorAll("tbody tr")[12];
      const first = row.querySelector("a, button") || row;
      if (first === row) row.tabIndex = -1;
      first.focus();
    });
    cut.addEventListener("input", () => { whole.open = true; });
  });

  /* A part of the page renewed by itself takes the focus with it: to the same control, or to the part. */
  let renewed = "";
  document.addEventListener("htmx:beforeSwap", (event) => {
    const { target } = event.detail;
    renewed = target && target.contains(document.activeElement) ? target.id : "";
  });
  document.addEventListener("htmx:afterSettle", () => {
    const part = renewed && document.activeElement === document.body && document.getElementById(renewed);
    if (part) { part.tabIndex = -1; part.focus({ preventScroll: true }); }
    renewed = "";
  });

  /* A browser is content when a part of the focused control shows; in a frame moved sideways it comes whole. */
  document.addEventListener("focusin", (event) => {
    if (event.target.closest(".scroll, .areas ul") && !event.target.matches(".scroll"))
      event.target.scrollIntoView({ block: "nearest", inline: "nearest" });
  });

  /* Where the areas stand in one line the one in use is in sight. */
  const current = document.querySelector(".areas [aria-current]"), strip = current && current.closest("ul");
  if (strip) strip.scrollLeft = current.offsetLeft - strip.offsetLeft - 40;

  const said = document.getElementById("said");
  if (said && !goOn(said)) said.focus();
})();
