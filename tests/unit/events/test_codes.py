"""The codes of simulated rows."""

from pacewright.events.codes import MEANINGS, Code


def test_each_code_has_one_meaning_and_its_number_for_good() -> None:
    """The numbers are those first given out (stored runs hold them), and each is explained."""
    first_given = [
        "ARRIVED",
        "ADMITTED",
        "READY",
        "POSITIONED",
        "SUPPLIED",
        "BATCHED",
        "STARTED",
        "ENDED",
        "FINISHED",
        "FAILED",
        "REDONE",
        "PARTED",
        "STORED",
        "MARRIED",
        "REMOVED",
        "SENT",
        "SCRAPPED",
        "BOUGHT",
        "SERVICEABLE",
        "FITTED",
        "ROBBED",
        "SITE_DRAWN",
        "UPSET",
        "MENDED",
        "RELEASED",
    ]
    assert [code.name for code in Code][: len(first_given)] == first_given
    assert [int(code) for code in Code] == list(range(1, len(Code) + 1))
    assert set(MEANINGS) == set(Code)
