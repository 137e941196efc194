"""The day in a few sentences."""

from datetime import timedelta

from control_case import Case
from pacewright.control.cover import Cover
from pacewright.control.day import today
from pacewright.reports.today import answer


def test_floats_are_named_by_how_they_stand() -> None:
    """A float with none ready is told apart from one that runs out, and both as the table says."""
    case = Case()
    for number in ("11", "12"):
        case.parted(number)
    day = today(case.works, case.now, case.at() + timedelta(hours=1))
    said = " ".join(answer(day))
    begins = {Cover.OUT: "None ready to fit: ", Cover.RUNS_OUT: "Run out within 10 working days"}
    seen = set()
    for row in day.cover:
        for word, begin in begins.items():
            sentence = said.partition(begin)[2].partition(".")[0]
            assert (row.name in sentence) == (row.word is word), (row.name, row.word)
        seen.add(row.word)
    assert seen & set(begins), "no float is short in this story"
