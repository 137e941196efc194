"""The invented works stand up to the checks that every works must pass."""

from pacewright.invent.works import invented_works
from pacewright.works_checks import findings


def test_usual_trolleybus_works_passes_the_cross_checks() -> None:
    """The example of 1,900 trolleybuses has no fault."""
    assert findings(invented_works("trolleybus", 1900, 1)) == ()


def test_same_arguments_make_the_same_works() -> None:
    """Kind, vehicles and seed settle everything."""
    assert invented_works("trolleybus", 60, 5) == invented_works("trolleybus", 60, 5)
    assert invented_works("trolleybus", 60, 5) != invented_works("trolleybus", 60, 6)
