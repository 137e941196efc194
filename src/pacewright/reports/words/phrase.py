"""A text with places: ``{count} pieces wait at {stage}``, found in what is shown and said anew."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

_PLACE = re.compile(r"\{([a-z0-9_]*)\}")
_WORD = re.compile(r"[^\W\d_]{2,}")


@dataclass(frozen=True)
class Phrase:
    """A text, and where in it the values of the day stand.

    Parameters
    ----------
    text : places are ``{name}``; ``{}`` is one without a name, told apart by its order.
    """

    text: str

    @cached_property
    def fixed(self) -> tuple[str, ...]:
        """What stands before, between and behind the places."""
        return tuple(_PLACE.split(self.text)[::2])

    @cached_property
    def places(self) -> tuple[str, ...]:
        """Names of the places in their order."""
        return tuple(_PLACE.findall(self.text))

    @cached_property
    def weight(self) -> int:
        """Letters that stand fixed: the more of them fit, the surer that this text is meant."""
        return sum(len(word) for part in self.fixed for word in _WORD.findall(part))

    @cached_property
    def anchors(self) -> tuple[str, ...]:
        """Words that stand in every text this phrase fits: whole ones, touching no place."""
        found = []
        for at, part in enumerate(self.fixed):
            for word in _WORD.finditer(part):
                touches_before = word.start() == 0 and at > 0
                touches_after = word.end() == len(part) and at < len(self.places)
                if not touches_before and not touches_after:
                    found.append(word[0])
        return tuple(found)

    def values(self, said: str) -> tuple[str, ...] | None:
        """What stands in the places of a finished text; None: it is not this phrase.

        Each fixed part is taken where it comes first behind the one before. If any reading fits,
        this one does, so that no text, however odd, costs more than its length for each part.

        Examples
        --------
        >>> Phrase("{count} pieces wait at {stage}").values("12 pieces wait at paint")
        ('12', 'paint')
        """
        head, *middle, tail = self.fixed if self.places else (self.text, "")
        at, end = len(head), len(said) - len(tail)
        if end < at or not said.startswith(head) or not said.endswith(tail):
            return None
        found = []
        for part in middle:
            place = said.find(part, at, end)
            if place < 0:
                return None
            found.append(said[at:place])
            at = place + len(part)
        return (*found, said[at:end]) if self.places else ()

    def filled(self, names: Sequence[str], values: Sequence[str]) -> str:
        """The phrase with values in its places.

        Parameters
        ----------
        names, values : of the phrase this one is said for; the same places in any order.
        """
        waiting: dict[str, list[str]] = {}
        for name, value in zip(names, values, strict=True):
            waiting.setdefault(name, []).append(value)
        parts = [self.fixed[0]]
        for name, part in zip(self.places, self.fixed[1:], strict=True):
            parts += [waiting[name].pop(0), part]
        return "".join(parts)


def wrong_places(english: str, other: str) -> tuple[str, ...]:
    """Places that are missing (``-name``) or foreign (``+name``) in what is said for a text.

    Examples
    --------
    >>> wrong_places("{count} at {stage}", "bei {shop}: {count}")
    ('+shop', '-stage')
    """
    wanted, found = Counter(Phrase(english).places), Counter(Phrase(other).places)
    return tuple(
        sorted([f"-{one}" for one in wanted - found] + [f"+{one}" for one in found - wanted])
    )
