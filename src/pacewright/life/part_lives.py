"""How long units stay on vehicles, by days and by distance, from fitting to removal."""

from collections.abc import Iterator
from math import isfinite

from pacewright.life.censored import Lives, product_limit
from pacewright.life.evidence import Evidence
from pacewright.life.unit_turns import Stay
from pacewright.life.weibull import NoFitError, Weibull, weibull_fit
from pacewright.plans.learned import PartLife
from pacewright.works import Works


def part_lives(works: Works, evidence: Evidence) -> Iterator[PartLife]:
    """Lives of every kind of which a unit was seen fitted and removed again.

    A unit fitted before the record began has no known start and is left out; one still on its
    vehicle, or taken for another vehicle, counts as going on.
    """
    for kind in works.unit_kinds:
        stays = evidence.turns.stays.get(kind.unit_kind_id, [])
        if not any(one.worn for one in stays):
            continue
        yield _life(kind.unit_kind_id, "days", [(one.days, one.worn) for one in stays])
        run = list(_distances(stays))
        if any(worn for _, worn in run):
            yield _life(kind.unit_kind_id, works.settings.distance_unit, run)


def _distances(stays: list[Stay]) -> Iterator[tuple[float, bool]]:
    for one in stays:
        if one.distance is not None and one.distance > 0:
            yield one.distance, one.worn


def _life(unit_kind_id: str, measure: str, lengths: list[tuple[float, bool]]) -> PartLife:
    lives = Lives.of([length for length, _ in lengths], [worn for _, worn in lengths])
    median = product_limit(lives).quantile(0.5)
    law = _law(lives)
    shape = law.shape_interval() if law else None
    return PartLife(
        unit_kind_id,
        measure,
        lives.seen_to_end,
        lives.going_on,
        median if isfinite(median) else None,
        law.shape if law else None,
        shape.low if shape else None,
        shape.high if shape else None,
        law.scale if law else None,
    )


def _law(lives: Lives) -> Weibull | None:
    try:
        return weibull_fit(lives)
    except NoFitError:
        return None
