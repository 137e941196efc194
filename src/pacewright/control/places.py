"""Positions of each stage: who stands there, which are free, which are out of use."""

from collections import defaultdict

from pacewright.events.standing import Standing
from pacewright.events.things import Piece
from pacewright.works import Works


class Places:
    """The positions of every stage; one that is given away is not free for the next who asks."""

    def __init__(self, works: Works, standing: Standing) -> None:
        self._standing = standing
        self._count = {one.stage_id: one.positions for one in works.stages}
        self._taken: dict[str, set[int]] = defaultdict(set)
        self._there: dict[str, list[Piece]] = defaultdict(list)
        for (stage_id, position), pieces in sorted(standing.occupied.items()):
            self._taken[stage_id].add(position)
            self._there[stage_id] += pieces

    def there(self, stage_id: str) -> tuple[Piece, ...]:
        """What stands on positions of the stage, in their order."""
        return tuple(self._there[stage_id])

    def closed(self, stage_id: str) -> tuple[int, ...]:
        """Positions of the stage that are out of use."""
        return tuple(
            number
            for number in range(1, self._count[stage_id] + 1)
            if (stage_id, number) in self._standing.out_of_use
        )

    def free(self, stage_id: str) -> tuple[int, ...]:
        """Positions on which nothing stands, in use, and not given away yet."""
        return tuple(
            number
            for number in range(1, self._count[stage_id] + 1)
            if number not in self._taken[stage_id]
            and (stage_id, number) not in self._standing.out_of_use
        )

    def take(self, stage_id: str) -> int:
        """Give away the lowest free position; 0: there is none."""
        free = self.free(stage_id)
        if not free:
            return 0
        self._taken[stage_id].add(free[0])
        return free[0]
