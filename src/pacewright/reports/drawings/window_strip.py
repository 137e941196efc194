"""One vehicle's window from opening to limit, with the days it is and would be called in."""

from collections.abc import Sequence
from datetime import date

from pacewright.reports.drawings.scale import Scale
from pacewright.reports.drawings.svg import Drawing, drawing, group, line, num, path, rect, words
from pacewright.reports.written import day as written

WIDE, LEFT, RIGHT, BAR = 900.0, 30.0, 30.0, 62.0


def window_strip(
    bounds: tuple[date, date, date, date], marks: Sequence[tuple[date, str]], today: date
) -> Drawing:
    """The strip.

    Parameters
    ----------
    bounds : opens, due, latest (limit less the guard), limit.
    marks : (day, words) of the days marked above, in order.
    """
    opens, due, latest, limit = bounds
    every = [*bounds, today, *(day for day, _ in marks)]
    scale = Scale(min(every).toordinal() - 5.0, max(every).toordinal() + 5.0, LEFT, WIDE - RIGHT)

    def at(day: date) -> float:
        return scale(day.toordinal())

    after = max(at(limit), WIDE - RIGHT)
    return drawing(
        "window",
        (WIDE, BAR + 74),
        (
            "Window of the vehicle",
            f"Opens {written(opens)}, due {written(due)}, limit {written(limit)}. "
            + "; ".join(f"{said} {written(day)}" for day, said in marks),
        ),
        rect(LEFT, BAR, (WIDE - LEFT - RIGHT, 16), "track"),
        rect(at(opens), BAR, (max(1.0, at(due) - at(opens)), 16), "heat2", "early: life is given"),
        rect(at(due), BAR, (max(0.0, at(latest) - at(due)), 16), "kind5", "late, and permitted"),
        rect(at(latest), BAR, (max(0.0, at(limit) - at(latest)), 16), "kind2",
             "guard kept for the error of the forecast"),
        rect(at(limit), BAR, (after - at(limit), 16), "shut", "past the limit: must not run"),
        line((at(limit), BAR - 8), (at(limit), BAR + 24), "paceline"),
        *(_under(at(day), row, f"{name} {written(day)}")
          for row, (name, day) in enumerate((("opens", opens), ("due", due), ("limit", limit)))),
        *(_mark(at(day), place, f"{said} {written(day)}") for place, (day, said) in
          enumerate(marks)),
        line((at(today), BAR - 4), (at(today), BAR + 20), "edge"),
        _today(at(today), [at(day) for day, _ in marks], early=at(today) < at(opens) - 80),
    )  # fmt: skip


def _today(x: float, marked: Sequence[float], *, early: bool) -> str:
    # A pointer just behind today would stand on the word: then the word stands before its line.
    covered = any(x < one < x + 40 for one in marked)
    return words(
        x + (-3 if covered else 3), BAR + 34 if early else BAR - 6, "today",
        "tick end" if covered else "tick",
    )  # fmt: skip


def _under(x: float, row: int, said: str) -> str:
    right = x > WIDE * 0.75
    return group(
        "bound",
        line((x, BAR + 16), (x, BAR + 24 + 14 * row), "axis"),
        words(x + (-3 if right else 3), BAR + 34 + 14 * row, said, "tick end" if right else "tick"),
    )


def _mark(x: float, place: int, said: str) -> str:
    y, right = 16.0 + 18 * place, x > WIDE * 0.7
    return group(
        "mark",
        path(f"M{num(x)} {num(BAR - 1)}V{num(y)}", "leader"),
        path(f"M{num(x - 5)} {num(BAR - 9)}h10l-5 8z", "pointer"),
        words(x + (-6 if right else 6), y + 6, said, "tick strong end" if right else "tick strong"),
    )
