"""The judge of runs and forecasts: reckons again from the raw runs, one vehicle at a time.

It shares no sum with what it judges: it walks vehicle by vehicle and row by row in plain numbers.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import isclose

from pacewright.events.codes import Code
from pacewright.plans.forecast import Forecast
from pacewright.simulate.calendars import Clock
from pacewright.simulate.run import Causes, Run
from pacewright.simulate.start_table import There
from pacewright.simulate.table import FlowTable


@dataclass(frozen=True)
class JudgedRun:
    """One run and the clock of its table.

    Parameters
    ----------
    table : the table that was run.
    run : what it left behind; its units are followed only when its events were kept.
    """

    table: FlowTable
    run: Run

    @cached_property
    def clock(self) -> Clock:
        """Working time."""
        return Clock.of(self.table.days)

    def faults(self) -> tuple[str, ...]:
        """Every rule of the works that the run breaks, in words; none when it is sound."""
        found = [*self._vehicles(), *self._limits(), *self._integrals()]
        if self.run.events is not None:
            found += [*self._vehicle_units(), *self._shelf()]
        return tuple(found)

    def _say(self, what: str) -> str:
        return f"run {self.run.replication} of seed {self.run.seed}, {what}"

    def _vehicles(self) -> Iterator[str]:
        """A vehicle comes, is let in, goes; and its causes make up the time between."""
        run = self.run
        for v, name in enumerate(self.table.names.vehicles):
            came, let_in, out = (int(one[v]) for one in (run.arrived, run.admitted, run.released))
            if (let_in >= 0 and not 0 <= came <= let_in) or (out >= 0 and not 0 <= let_in <= out):
                yield self._say(
                    f"vehicle {name}: arrived {came}, admitted {let_in}, released {out}: a vehicle "
                    "arrives, is admitted, then released."
                )
            if int(run.waits[v].min(initial=0)) < 0:
                yield self._say(f"vehicle {name}: a wait is negative.")
            if out >= 0:
                inside = self.clock.worked(out) - self.clock.worked(came)
                if int(run.waits[v].sum()) != inside:
                    yield self._say(
                        f"vehicle {name}: work and waits by cause sum to {int(run.waits[v].sum())} "
                        f"minutes, its time from arrival to release is {inside}."
                    )

    def _limits(self) -> Iterator[str]:
        """No more inside than may be, no more on positions than there are."""
        limit = self.table.inside_limit
        if limit:
            run = self.run
            moves = [(int(t), 1) for t in run.admitted if t >= 0]
            moves += [(int(t), -1) for t in run.released if t >= 0]
            inside, most = 0, 0
            started = int((self.table.vehicles.inside == There.INSIDE).sum())
            for _, change in sorted(moves):
                inside += change
                most = max(most, inside)
            if most > max(limit, started):
                yield self._say(f"{most} were inside at once, {limit} may be.")
        minutes = self._overlap(self.table.days.start, self.table.days.end)
        for s, name in enumerate(self.table.names.stages):
            busy = int(self.run.integrals.busy[s])
            if not 0 <= busy <= int(self.table.stages.positions[s]) * minutes:
                yield self._say(f"stage {name}: {busy} minutes on positions, more than there are.")

    def _overlap(self, first: int, last: int) -> int:
        """Worked minutes measured between two minutes."""
        days = self.table.days
        low, high = max(first, days.measure_from), min(last, days.end)
        return max(0, self.clock.worked(high) - self.clock.worked(low))

    def _integrals(self) -> Iterator[str]:
        """Vehicles inside and at the gate over time are the sum of their stays: Little, exactly."""
        run, end = self.run, self.table.days.end
        inside = gate = 0
        for came, let_in, out in zip(
            run.arrived.tolist(), run.admitted.tolist(), run.released.tolist(), strict=True
        ):
            if let_in >= 0:
                inside += self._overlap(let_in, out if out >= 0 else end)
            if came >= 0:
                gate += self._overlap(came, let_in if let_in >= 0 else end)
        for name, kept, again in (
            ("inside", run.integrals.inside, inside),
            ("at the gate", run.integrals.gate, gate),
        ):
            if kept != again:
                yield self._say(
                    f"vehicles {name}: {kept} minutes over time, by their stays {again}."
                )
        for k, name in enumerate(self.table.names.kinds):
            asked, late = int(run.integrals.asked[k]), int(run.integrals.late[k])
            if not 0 <= late <= asked:
                yield self._say(f"unit kind {name}: late {late} times of {asked} asked.")

    def _vehicle_units(self) -> Iterator[str]:
        """What came off a released vehicle has gone on again, kind by kind."""
        events = self.run.events
        assert events is not None
        off: dict[tuple[int, int], int] = defaultdict(int)
        signs = {Code.REMOVED: 1, Code.FITTED: -1, Code.ROBBED: 1}
        rows = (events.code, events.vehicle, events.place, events.amount)
        for code, vehicle, kind, units in zip(*(one.tolist() for one in rows), strict=True):
            if code in signs:
                off[vehicle, kind] += signs[Code(code)] * units
        for (v, k), units in off.items():
            known = self.table.vehicles.inside[v] == 0
            if known and self.run.released[v] >= 0 and units != 0:
                yield self._say(
                    f"vehicle {self.table.names.vehicles[v]}: {units} units of "
                    f"{self.table.names.kinds[k]} more came off than went on again."
                )

    def _shelf(self) -> Iterator[str]:
        """What the rows leave on the shelf is never less than nothing, and is what was summed."""
        if len(self.table.owed.kind):
            # Units made good before the start go on the shelf without a row.
            return
        events, days = self.run.events, self.table.days
        assert events is not None
        shelf = self.table.kinds.serviceable.tolist()
        sums = [units * self._overlap(days.start, days.end) for units in shelf]
        moves = {Code.SERVICEABLE: 1, Code.BOUGHT: 1, Code.FITTED: -1, Code.SITE_DRAWN: -1}
        rows = (events.time, events.code, events.place, events.amount)
        robbed = False
        for time, code, kind, units in zip(*(one.tolist() for one in rows), strict=True):
            # A unit robbed goes from vehicle to vehicle, past the shelf.
            if code in moves and not robbed:
                change = moves[Code(code)] * units
                shelf[kind] += change
                sums[kind] += change * self._overlap(time, days.end)
                if shelf[kind] < 0:
                    yield self._say(f"unit kind {self.table.names.kinds[kind]}: shelf below 0.")
            robbed = code == Code.ROBBED
        for k, name in enumerate(self.table.names.kinds):
            if sums[k] != int(self.run.integrals.pool[k]):
                yield self._say(
                    f"unit kind {name}: {int(self.run.integrals.pool[k])} unit minutes on the "
                    f"shelf, by its rows {sums[k]}."
                )


def run_faults(table: FlowTable, run: Run) -> tuple[str, ...]:
    """Every rule of the works that a run breaks, in words."""
    return JudgedRun(table, run).faults()


@dataclass(frozen=True)
class _Again:
    """Sums over all runs, reckoned vehicle by vehicle."""

    table: FlowTable
    runs: Sequence[Run]
    promised: dict[str, float]

    @cached_property
    def clock(self) -> Clock:
        return Clock.of(self.table.days)

    @property
    def day(self) -> int:
        return int(self.table.days.minutes[0])

    @property
    def days(self) -> float:
        """Working days measured, all runs together."""
        one = self.clock.worked(self.table.days.end) - self.clock.worked(
            self.table.days.measure_from
        )
        return len(self.runs) * one / self.day

    def released(self, whole: bool) -> Iterator[tuple[Run, int]]:
        """Vehicles released in the time measured; ``whole``: those whose arrival was seen."""
        for run in self.runs:
            for v in range(len(run.released)):
                seen = not (whole and self.table.vehicles.inside[v])
                if seen and run.released[v] >= self.table.days.measure_from:
                    yield run, v

    def turn(self, run: Run, v: int) -> float:
        """Turn time [working days]."""
        last = self.clock.worked(int(run.released[v]))
        return (last - self.clock.worked(int(run.arrived[v]))) / self.day

    def mean_turn(self) -> float:
        turns = [self.turn(run, v) for run, v in self.released(whole=True)]
        return sum(turns) / len(turns)

    def held_days(self) -> float:
        """Hold-ups a vehicle: all its time but work [working days]."""
        found = [int(run.waits[v, :-1].sum()) for run, v in self.released(whole=True)]
        return sum(found) / len(found) / self.day

    def promise_chance(self) -> float:
        due = kept = 0
        end = self.clock.worked(self.table.days.end)
        for run in self.runs:
            for v, t in enumerate(self.table.vehicles.type.tolist()):
                promise = self.promised.get(self.table.names.types[t])
                came = int(run.arrived[v])
                if promise is None or came < self.table.days.measure_from:
                    continue
                minutes = round(promise * self.day)
                if self.table.vehicles.inside[v] or self.clock.worked(came) + minutes > end:
                    continue
                due += 1
                out = int(run.released[v])
                on_time = out >= 0 and self.clock.worked(out) - self.clock.worked(came) <= minutes
                kept += on_time
        return kept / due


def forecast_faults(
    forecast: Forecast, table: FlowTable, runs: Sequence[Run], week_days: int
) -> tuple[str, ...]:
    """Where a forecast does not say what its runs say, in words.

    Parameters
    ----------
    forecast : the paper.
    table, runs : what it was made from: all its replications, in order.
    week_days : working days of a full week.
    """
    promised = {
        one.type_id: one.promised_days for one in forecast.turns if one.promised_days is not None
    }
    again = _Again(table, runs, promised)
    found = [fault for run in runs for fault in run_faults(table, run)]
    reckoned: dict[str, Callable[[], float]] = {
        "output_a_week": lambda: (
            sum(1 for _ in again.released(whole=False)) / (again.days / week_days)
        ),
        "turn_days_mean": again.mean_turn,
        "holdup_days": again.held_days,
        "promise_chance": again.promise_chance,
    }
    shown = {one.key: one.mean for one in forecast.figures}
    for key, reckon in reckoned.items():
        value = reckon()
        if not isclose(shown[key], value, rel_tol=1e-9, abs_tol=1e-12):
            found.append(f"figure {key}: the forecast says {shown[key]}, its runs {value}.")
    return (*found, *_sums(forecast, table, runs, again))


def _sums(
    forecast: Forecast, table: FlowTable, runs: Sequence[Run], again: _Again
) -> Iterator[str]:
    """Hold-ups of all places sum to those of all vehicles; shares of a histogram sum to 1."""
    work = Causes.of(table).work
    minutes = sum(int(run.waits[v, :work].sum()) for run, v in again.released(whole=False))
    days = table.days
    years = len(runs) * (days.end - days.measure_from) / (52 * 7 * 1440)
    a_year = minutes / again.day / years
    shown = sum(one.vehicle_days_a_year for one in forecast.holdups)
    if not isclose(shown, a_year, rel_tol=1e-9, abs_tol=1e-9):
        yield f"hold-ups: {shown} vehicle-days a year over all places, by vehicles {a_year}."
    for one in forecast.turns:
        total = sum(one.histogram_share)
        if not isclose(total, 1.0, rel_tol=1e-9):
            yield f"turn times of {one.type_id}: the shares sum to {total}, not to 1."
    if forecast.replications != len(runs):
        yield f"replications: the forecast says {forecast.replications}, there are {len(runs)}."
