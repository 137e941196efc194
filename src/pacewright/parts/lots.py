"""Lots that take so long to fill that units stand in them longer than anybody would let them."""

from collections.abc import Iterator

from pacewright.parts.tables import UnitKind

LONG_FILL_DAYS = 60
"""A lot of units that fills slower than this, a quarter of a year, is told (our rule)."""

LONG_PURCHASE_DAYS = 250
"""A lot of purchases that fills slower than this, a year of working days, is told (our rule)."""


def lot_notes(kind: UnitKind, units_a_day: float, plan_days: int) -> Iterator[str]:
    """A sentence for each lot of the kind that fills too slowly, or never.

    Parameters
    ----------
    units_a_day : units of the kind removed on a working day at the pace.
    plan_days : working days planned.

    Equations
    ---------
    A lot of Q at rate r fills in Q / r; its units wait (Q - 1) / (2 r) on average.
    """
    where = f"unit_kinds.csv, {kind.unit_kind_id}"
    if kind.lot_size > 1:
        found = _filled(kind.lot_size, units_a_day, LONG_FILL_DAYS, plan_days)
        if found:
            yield (
                f"{where}: lot_size {kind.lot_size}; {units_a_day:.2g} come off a working day, so "
                f"a lot {found}. A lot leaves only when it is full, and what the last lot lacks "
                "keeps its units there for good. Give a smaller lot_size; or lot_size 1 with "
                "despatch_days, so that what has gathered leaves every so many working days."
            )
    bought_a_day = units_a_day * kind.scrap_share
    if kind.purchase_lot > 1 and bought_a_day > 0:
        found = _filled(kind.purchase_lot, bought_a_day, LONG_PURCHASE_DAYS, plan_days)
        if found:
            yield (
                f"{where}: purchase_lot {kind.purchase_lot}; {bought_a_day:.2g} are scrapped a "
                f"working day, so a lot {found}. Nothing is bought until then, so the float lacks "
                f"up to {kind.purchase_lot - 1} of them. Give a smaller purchase_lot, or hold as "
                "many more."
            )


def _filled(lot: int, a_day: float, longest_days: int, plan_days: int) -> str:
    """How slowly the lot fills; empty when it fills fast enough."""
    if a_day <= 0:
        return ""
    days = lot / a_day
    if days <= longest_days:
        return ""
    if days > plan_days:
        return f"does not fill in the {plan_days} working days planned (it takes {days:.0f})"
    return f"takes {days:.0f} working days to fill"
