"""The codes of simulated rows."""

from pacewright.events.codes import MEANINGS, Code
from pacewright.events.registry import KINDS

FIRST_GIVEN = """
ARRIVED ADMITTED READY POSITIONED SUPPLIED BATCHED STARTED ENDED FINISHED FAILED REDONE PARTED
STORED MARRIED REMOVED SENT SCRAPPED BOUGHT SERVICEABLE FITTED ROBBED SITE_DRAWN UPSET MENDED
RELEASED
"""


def test_each_code_has_its_number_for_good() -> None:
    """The numbers are those first given out, since stored runs hold them; none is 0 or double."""
    first = FIRST_GIVEN.split()
    assert [code.name for code in Code][: len(first)] == first
    assert [int(code) for code in Code] == list(range(1, len(Code) + 1))


def test_each_code_is_explained() -> None:
    """Each code has one meaning, and the event of the record it names exists."""
    assert set(MEANINGS) == set(Code)
    for meaning in MEANINGS.values():
        assert meaning.meaning
        assert meaning.place in {"", "stage", "kind", "crew", "upset"}
        assert meaning.amount in {"", "piece", "units", "vehicle"}
        assert not meaning.recorded or meaning.recorded in KINDS
