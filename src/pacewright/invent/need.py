"""What one vehicle of the fleet's mix asks of the works: pieces, units, hours."""

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from pacewright.invent.catalogue import Catalogue
from pacewright.shops.route import Route, route_of
from pacewright.shops.tables import Stage


def hours_mean(stage: Stage) -> float:
    """Mean time on a position, (least + 4 usual + most) / 6 [working hours] (PERT)."""
    return (stage.hours_least + 4 * stage.hours_usual + stage.hours_most) / 6


@dataclass(frozen=True)
class Need:
    """Need of one vehicle of the mix.

    Parameters
    ----------
    catalogue : the tables of the kind.
    shares : vehicle type -> its share of the vehicles called in.
    """

    catalogue: Catalogue
    shares: dict[str, float]

    @cached_property
    def routes(self) -> dict[str, Route]:
        """Vehicle type -> its route."""
        of = self.catalogue
        return {type_id: route_of(type_id, of.stages, of.assemblies) for type_id in self.shares}

    @cached_property
    def pieces(self) -> dict[str, float]:
        """Stage -> pieces that pass it for one vehicle of the mix."""
        return {
            stage.stage_id: sum(
                share * self.routes[type_id].passes.get(stage.stage_id, 0)
                for type_id, share in self.shares.items()
            )
            for stage in self.catalogue.stages
        }

    @cached_property
    def units_of_type(self) -> dict[tuple[str, str], float]:
        """(unit kind, vehicle type) -> units taken off one vehicle of the type."""
        removed = {one.unit_kind_id: one.removal_share for one in self.catalogue.unit_kinds}
        return {
            (fit.unit_kind_id, fit.type_id): fit.per_vehicle * removed[fit.unit_kind_id]
            for fit in self.catalogue.fits
        }

    @cached_property
    def units(self) -> dict[str, float]:
        """Unit kind -> units taken off one vehicle of the mix."""
        total: defaultdict[str, float] = defaultdict(float)
        for (unit_kind_id, type_id), count in self.units_of_type.items():
            total[unit_kind_id] += self.shares[type_id] * count
        return dict(total)

    @cached_property
    def hours(self) -> dict[tuple[str, str], float]:
        """(shop, trade) -> standard hours of one vehicle of the mix, campaigns left out [h]."""
        stage_shop = {one.stage_id: one.shop_id for one in self.catalogue.stages}
        unit_shop = {one.unit_kind_id: one.shop_id for one in self.catalogue.unit_kinds}
        total: defaultdict[tuple[str, str], float] = defaultdict(float)
        for work in self.catalogue.operations:
            hours = work.standard_hours * work.occurrence_share
            for type_id, share in self.shares.items():
                if work.type_id not in (None, type_id):
                    continue
                if work.stage_id is not None:
                    times = float(self.routes[type_id].passes.get(work.stage_id, 0))
                    shop_id = stage_shop[work.stage_id]
                else:
                    times = self.units_of_type.get((work.unit_kind_id or "", type_id), 0.0)
                    shop_id = unit_shop[work.unit_kind_id or ""]
                total[shop_id, work.trade_id] += share * hours * times
        return dict(total)

    @cached_property
    def people_at_once(self) -> dict[tuple[str, str], float]:
        """(shop, trade) -> people its work takes at once; 0 where it works on units alone.

        Man-hours of a trade at a stage over the stage's time, weighted by these man-hours. Work
        on units counts as 0: it can wait, the float is there for that.
        """
        at_stage: defaultdict[tuple[str, str], float] = defaultdict(float)
        for work in self.catalogue.operations:
            if work.stage_id is not None:
                hours = work.standard_hours * work.occurrence_share
                at_stage[work.stage_id, work.trade_id] += hours
        stages = {one.stage_id: one for one in self.catalogue.stages}
        total, squares = dict.fromkeys(self.hours, 0.0), dict.fromkeys(self.hours, 0.0)
        for (stage_id, trade_id), hours in at_stage.items():
            place = stages[stage_id].shop_id, trade_id
            total[place] += hours
            squares[place] += hours * hours / hours_mean(stages[stage_id])
        return {one: squares[one] / total[one] if total[one] else 0.0 for one in total}
