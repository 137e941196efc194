"""What if: the runs of a desk side by side, and one run whole."""

from collections.abc import Mapping, Sequence

from pacewright.office.desk import Desk
from pacewright.office.sheets.asked import whole_asked
from pacewright.office.whatif_desk import MOST_KEPT, trials_of
from pacewright.office.whatif_trial import State, Trial
from pacewright.office.whatif_watch import MOST_SECONDS
from pacewright.plans.comparison import Comparison
from pacewright.reports.comparison_page import HEADLINES, difference_in_words
from pacewright.reports.glossary import CAUTION
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table, number, table, text
from pacewright.reports.whatif_tables import (
    beside_drawing,
    beside_table,
    holdup_drawing,
    one_tables,
)
from pacewright.reports.written import day, listed, some

MOST_BESIDE = 6
"""Changes side by side: more than that nobody compares."""

HOW = (
    "The works as it is and the works with the change are run through the same replications, every "
    "chance drawn alike on both sides. Shown is the mean of the paired differences with its "
    "interval (Student's t, shared over all figures by Bonferroni, so that all of one change hold "
    "at once with 95 %). Real: the interval lies clear of nothing. Not shown: it may be chance, or "
    "too small for so many replications. Intervals of changes run apart do not hold together: ask "
    "only what is to be decided."
)


def whatif_sheet(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """Every run that is kept, and those on the same base side by side."""
    trials = trials_of(desk).all()
    beside = beside_of(trials)
    named = [(f"{one.number} {one.asked.name}", _made(one)) for one in beside]
    return Sheet(
        key="whatif",
        title="What if",
        question="What would come of it if something were different?",
        answer=tuple(_answer(trials, beside)),
        parts=(
            Part("runs", "Runs",
                 f"At most {MOST_KEPT}, kept while the server runs; each ends after "
                 f"{MOST_SECONDS / 60:g} minutes with the replications it has. One at a time is "
                 "run.", _runs_table(trials), links={"run": "/whatif/{}"},
                 empty="Nobody has asked yet. Fill in what would be different and run it."),
            Part("beside", "Side by side", HOW, beside_table(named), beside_drawing(named),
                 folded=True,
                 empty="No run is done. What is done on the same base stands here side by side."),
        ),
        caution=CAUTION,
        basis=tuple(_basis(beside)),
    )  # fmt: skip


def _made(one: Trial) -> Comparison:
    assert one.comparison is not None
    return one.comparison


def beside_of(trials: Sequence[Trial]) -> list[Trial]:
    """Runs that may stand side by side: done, and on the base of the newest one."""
    done = [one for one in trials if one.comparison is not None]
    return [one for one in done if _base(one) == _base(done[0])][:MOST_BESIDE]


def _base(one: Trial) -> tuple[object, ...]:
    made = _made(one)
    return (made.inputs_hash, made.first, made.last, made.start, made.warm_up_weeks)


def _answer(trials: Sequence[Trial], beside: Sequence[Trial]) -> list[str]:
    going = [one for one in trials if not one.state.is_over]
    said = [f"Run {one.number}, {one.asked.name}, {one.state.value}." for one in going]
    said += [_said(one) for one in beside[:3]]
    done = [one for one in trials if one.comparison is not None]
    if len(done) > len(beside):
        said.append(
            f"{some(len(done) - len(beside), 'run')} on another base or of other weeks: look at "
            "each by itself."
        )
    return said or ["Nothing has been run since the server started."]


def _said(one: Trial) -> str:
    """What a run comes to, in a sentence."""
    real = [
        f"{row.name} {difference_in_words(row)}{f' ({row.good})' if row.good else ''}"
        for row in _made(one).changes[0].figures
        if row.key in HEADLINES and row.verdict.value == "real"
    ]
    return f"{one.asked.name}: {listed(real) if real else 'no main figure is shown to differ'}."


def _runs_table(trials: Sequence[Trial]) -> Table:
    return table(
        ("runs", "What-if runs", "The newest first"),
        (
            text("run", "number of the run", lambda one: str(one.number)),
            text("name", "what it is called", "asked.name"),
            text("state", "how far it is", lambda one: one.state.value),
            number("done", "share of the replications that are done", "per cent",
                   lambda one: 100 * one.share),
            text("differs", "what differs from the works as it is",
                 lambda one: "; ".join(one.differs)),
            text("asked_by", "who asked", "shown"),
            text("at", "works time at which it was asked", lambda one: f"{one.at:%F %H:%M}"),
            text("why", "why it was not possible", lambda one: " ".join(one.why)),
        ),
        trials,
    )  # fmt: skip


def _basis(beside: Sequence[Trial]) -> list[str]:
    if not beside:
        return ["The base is the works as its record has it when the run is asked for."]
    made, one = _made(beside[0]), beside[0]
    return [
        f"Base: record up to event {one.place:,}, inputs {made.inputs_hash}; weeks from "
        f"{day(made.first)} to {day(made.last)}; seed {made.seed}.",
        *made.notes,
    ]


def trial_sheet(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """One run whole.

    Raises
    ------
    NotFoundError : there is none of that number. ValueError : it is no number.
    """
    number_asked = whole_asked(asked, "run", 0, 1, 10**6)
    one = trials_of(desk).one(number_asked)
    if one.comparison is None:
        return _unfinished(one)
    made = one.comparison
    differs, figures, hold_ups = one_tables(made)
    real = [row for row in made.changes[0].holdups if row.verdict.value == "real"]
    return Sheet(
        key="trial",
        title=f"What if {one.number}: {one.asked.name}",
        question=f"What would come of it: {one.asked.name}?",
        answer=(_said(one), _limits_said(one, made)),
        figures=(
            Figure("Replications", str(made.replications), "pairs",
                   "Runs of the works as it is, each beside a run with the change."),
            Figure("Weeks", str((made.last - made.first).days // 7 + 1), "measured",
                   f"From {day(made.first)} to {day(made.last)}."),
            Figure("Hold-ups that differ", str(len(real)), "shown real",
                   "Causes and places at which vehicles stand longer or shorter."),
        ),
        parts=(
            Part("figures", "Figures of the works", HOW, figures,
                 beside_drawing([(one.asked.name, made)]), folded=True,
                 columns=("name", "unit", "base", "changed", "difference", "half_width",
                          "verdict", "good", "replications")),
            Part("hold_ups", "Hold-ups that went and came",
                 "Working days vehicles stand in a year of 52 weeks, at each cause and place; "
                 "left of the line went, right of it came. What goes at one place often comes "
                 "again at the next. The dozen largest are drawn, the table has all.",
                 hold_ups, holdup_drawing(made), folded=True,
                 empty="No hold-up differs."),
            Part("changes", "What differs", "From the works as it is, a line each.", differs),
        ),
        caution=CAUTION,
        basis=tuple(_basis([one])),
    )  # fmt: skip


def _limits_said(one: Trial, made: Comparison) -> str:
    short = "It was ended by the time limit; it rests on fewer replications than asked. "
    return (short if one.state is State.SHORTENED else "") + (
        f"Asked by {one.shown}, {one.at:%Y-%m-%d %H:%M} works time; {made.seconds:.0f} s."
    )


def _unfinished(one: Trial) -> Sheet:
    said = [
        f"It {one.state.value}." if not one.state.is_over else f"{one.state.value}.".capitalize()
    ]
    said += list(one.why)
    return Sheet(
        key="trial",
        title=f"What if {one.number}: {one.asked.name}",
        question=f"What would come of it: {one.asked.name}?",
        answer=tuple(said),
        parts=(
            Part("changes", "What differs", "From the works as it is, a line each.",
                 table(("changes", "Changes", "What differs from the works as it is, a row each"),
                       (text("differs", "what differs", lambda line: line),), one.differs)),
        ),
        basis=(f"Record up to event {one.place:,}.",),
    )  # fmt: skip
