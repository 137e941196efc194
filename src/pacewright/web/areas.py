"""The areas of the application, in the order of a planner's day."""

from dataclasses import dataclass

from pacewright.office.access import Person
from pacewright.office.rights import NEEDED, Right


@dataclass(frozen=True, slots=True)
class Area:
    """One entry of the navigation.

    Parameters
    ----------
    key : name of its page; ``path`` its address; ``name`` as people read it.
    right : who lacks it does not see the entry (the page refuses as well).
    any_of : one of these is needed besides; empty: none.
    """

    key: str
    path: str
    name: str
    right: Right = Right.SEE
    any_of: frozenset[Right] = frozenset()

    def for_person(self, person: Person) -> bool:
        """Whether the person sees it."""
        return person.may(self.right) and (
            not self.any_of or not self.any_of.isdisjoint(person.rights)
        )


AREAS: tuple[Area, ...] = (
    Area("today", "/today", "Today"),
    Area("programme", "/programme", "Programme"),
    Area("vehicles", "/vehicles", "Vehicles"),
    Area("shops", "/shops", "Shops"),
    Area("parts", "/parts", "Parts"),
    Area("shortages", "/shortages", "Shortages"),
    Area("flow", "/flow", "Flow"),
    Area("papers", "/papers", "Papers"),
    Area("book", "/book", "Book", any_of=frozenset(NEEDED.values())),
    Area("inspection", "/inspection", "Strip inspection", Right.INSPECT),
    Area("whatif", "/whatif", "What if", Right.PROMISE),
    Area("learning", "/learning", "Learning"),
    Area("record", "/record", "Record"),
    Area("works", "/works", "Works"),
    Area("people", "/people", "People and access", Right.PEOPLE),
)
