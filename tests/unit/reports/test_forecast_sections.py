"""Parts, tables, workbook and summary of the run: they say what the forecast holds."""

import csv
import io
import json
from dataclasses import replace
from io import BytesIO
from math import inf, nan

import pytest
from python_calamine import CalamineWorkbook

from made_forecast import A_YEAR, HELD, STANDING, made_forecast
from made_plan import made_plan
from pacewright.plans.forecast import Beside, Cause, Forecast, UseOf
from pacewright.reports.csvfile import csv_bytes
from pacewright.reports.simulation.answer import answer_figures, answer_sentences, known
from pacewright.reports.simulation.flow import last_full_stage, leading, working_days_a_year
from pacewright.reports.simulation.hold_ups import MOST_SHOWN, days_by_cause, hold_ups
from pacewright.reports.simulation.interval import plus_minus, share_plus_minus
from pacewright.reports.simulation.readiness import apart, readiness, wait_days_a_year
from pacewright.reports.simulation.sure import how_sure
from pacewright.reports.simulation.turn_times import days_over, quantile, turn_times
from pacewright.reports.simulation.uses import use_word, uses
from pacewright.reports.summary import summary
from pacewright.reports.table import Table
from pacewright.reports.tables import plan_tables
from pacewright.reports.workbook import plan_workbook


def plain(said: str) -> str:
    """Words with plain blanks, as a reader sees them."""
    return " ".join(said.split())


def tables() -> dict[str, Table]:
    """All tables with the forecast, by name."""
    return {one.name: one for one in plan_tables(*made_forecast())}


@pytest.mark.parametrize(
    ("mean", "half", "said"),
    [
        (10.3142, 0.097, "10.31 ± 0.10"),
        (1210.4, 88.0, "1,210 ± 88"),
        (55.2, 4.6, "55 ± 5"),
        (3.0, 0.0, "3.00"),
        (0.0004, 0.0003, "0.00"),
        (nan, nan, "-"),
        (3.0, inf, "3.0 (too few runs to tell how sure)"),
    ],
)
def test_figures_are_written_as_sure_as_they_are(mean: float, half: float, said: str) -> None:
    """As many decimals as the first digit of the interval; what is not known is said in words."""
    assert plain(plus_minus(mean, half)) == said


def test_shares_are_written_in_points_of_per_cent() -> None:
    """41 % give or take 2; near all, with a decimal; without a value, a dash."""
    assert plain(share_plus_minus(0.412, 0.021)) == "41 % ± 2"
    assert plain(share_plus_minus(0.9987, 0.0007)) == "99.9 % ± 0.1"
    assert share_plus_minus(nan, nan) == "-"


def test_answer_leaves_out_what_is_not_known() -> None:
    """A figure that could not be measured is a dash, and no sentence claims it."""
    forecast = made_forecast()[2]
    blank = replace(forecast, figures=(), turns=())
    assert [one.value for one in answer_figures(blank)] == ["-"] * 4
    assert len(answer_sentences(blank)) == 1
    lost = replace(
        forecast,
        figures=tuple(replace(e, mean=nan) if e.key == "inside_mean" else e
                      for e in forecast.figures),
    )  # fmt: skip
    assert known(lost, "inside_mean") is None and known(forecast, "inside_mean") is not None


def test_hold_ups_are_ranked_and_sum_to_all_standing() -> None:
    """Causes and places hold the same days; what is not listed is counted."""
    _, works, forecast = made_forecast()
    shuffled = replace(forecast, holdups=forecast.holdups[::-1])
    found = hold_ups(works, shuffled)
    assert sum(days_by_cause(forecast.holdups).values()) == pytest.approx(STANDING)
    assert [row.name for row in found.rows[:2]] == ["Body maker", "Chassis (two-axle)"]
    assert len(found.rows) == MOST_SHOWN and found.left == len(HELD) - MOST_SHOWN
    assert found.left_days == f"{sum(one[4] for one in HELD[MOST_SHOWN:]):.0f}"
    assert [row.cause for row in found.causes][:3] == ["people", "assembly", "part"]
    assert sum(float(row.part.split()[0]) for row in found.causes) == pytest.approx(100, abs=4)
    assert plain(found.causes[0].each) == "2.4 ± 0.2"


def test_hold_up_that_outgrows_all_others_is_cut_with_an_arrow() -> None:
    """Ten times the second: its bar ends in an arrow, and the others keep their length."""
    _, works, forecast = made_forecast()
    first, *rest = forecast.holdups
    grown = hold_ups(works, replace(
        forecast, holdups=(replace(first, vehicle_days_a_year=12100.0), *rest)
    ))  # fmt: skip
    usual = hold_ups(works, forecast)
    assert grown.rows[0].bar.count("l9 7l-9 7z") == 1 and "l9 7l-9 7z" not in usual.rows[0].bar
    assert "12,100" in grown.rows[0].days


def test_standing_assemblies_by_littles_law() -> None:
    """640 + 214 vehicle-days over the working days of a year: the mean number that stands."""
    _, works, forecast = made_forecast()
    days = [week.working_days for week in forecast.weeks if week.measured]
    assert working_days_a_year(forecast) == pytest.approx(52 * sum(days) / len(days))
    assert working_days_a_year(replace(forecast, weeks=())) == 260
    assert leading("two-axle", works) == "body" and leading("no such type", works) == ""


def test_last_full_stage_is_where_to_look_first() -> None:
    """Work stands before 'prep', 'bake' and 'road'; only 'prep' is full: it holds the rest up."""
    _, works, forecast = made_forecast()
    full = {q.stage_id for q in forecast.queues if q.on_positions_mean >= 0.95 * q.positions}
    assert "prep" in full and not full & {"bake", "road"}
    last = last_full_stage(works, forecast)
    assert last is not None and last.stage_id == "prep"
    assert last_full_stage(works, replace(forecast, queues=())) is None
    idle = tuple(replace(q, on_positions_mean=0.1) for q in forecast.queues)
    assert last_full_stage(works, replace(forecast, queues=idle)) is None


def test_turn_times_by_type() -> None:
    """The commonest type first; days over the promise are the mean of what is above it."""
    forecast = made_forecast()[2]
    assert [one.type_id for one in turn_times(forecast)] == ["two-axle", "jointed"]
    turn = replace(
        forecast.turns[0], promised_days=12.0, histogram_from=(10.0, 11.0, 12.0, 13.0),
        histogram_share=(0.25, 0.25, 0.25, 0.25),
    )  # fmt: skip
    assert days_over(turn) == pytest.approx(0.25 * 0.5 + 0.25 * 1.5)
    assert days_over(replace(turn, promised_days=None)) == 0
    assert quantile(turn, 0.9) == turn.quantile_days[turn.quantile_shares.index(0.9)]
    assert quantile(turn, 0.123) is None


def test_use_is_told_in_words_beside_the_plan() -> None:
    """Full from 95 % on; above or below plan when it is so beyond interval and five points."""
    use = made_forecast()[2].uses[0]
    words = {
        (0.96, 0.95): "full",
        (0.97, 0.6): "full, above plan",
        (0.5, 0.6): "below plan",
        (0.62, 0.6): "",
    }
    for (share, plan), word in words.items():
        assert use_word(replace(use, use_share=share, plan_share=plan)) == word
    assert use_word(replace(use, use_share=0.62, plan_share=None)) == ""


def test_every_place_in_use_has_its_row() -> None:
    """Stages, crews and shops: nothing is left out; a crew without a plan shows a dash."""
    _, works, forecast = made_forecast()
    found = uses(works, forecast)
    assert len(found.stages) == sum(u.of is UseOf.STAGE for u in forecast.uses)
    assert len(found.crews) == sum(u.of is UseOf.CREW for u in forecast.uses)
    assert {row.name for row in found.shops} <= {shop.name for shop in works.shops}
    most = max(forecast.uses, key=lambda u: u.use_share)
    assert found.fullest[0].used.startswith(f"{most.use_share:.0%}"[:2])
    assert found.crews[0].planned == "-" and found.crews[0].name == "Fitter"
    body = next(row for row in found.shops if row.name == "Body shop")
    assert float(body.days.replace(",", "")) == sum(h[4] for h in HELD if h[3] == "body")


def test_readiness_stands_in_the_order_of_the_waits_it_causes() -> None:
    """Kinds by vehicle-days; better and worse only beyond the interval and one in a hundred."""
    _, works, forecast = made_forecast()
    found = readiness(works, forecast)
    waits = {f.unit_kind_id: wait_days_a_year(f) for f in forecast.floats}
    order = [waits[row.unit_kind_id] for row in found.rows]
    assert order == sorted(order, reverse=True)
    assert found.kinds == len(forecast.floats) == len(found.rows) + found.left
    one = replace(forecast.floats[0], ready_share=0.9, ready_plan=0.95, half_width=0.02)
    assert apart(one) == "worse" and apart(replace(one, ready_plan=0.85)) == "better"
    assert apart(replace(one, half_width=0.06)) == "" and apart(replace(one, half_width=inf)) == ""
    assert apart(replace(one, ready_plan=0.909, half_width=0.001)) == ""
    assert [group.key for group in found.piles] == ["assembly", "unit"]


def test_units_of_all_kinds_together_stand_over_the_kinds() -> None:
    """Run through beside the closed form; a forecast that does not know it says nothing."""
    _, works, forecast = made_forecast()
    name = forecast.figure("all_units_share").name
    beside = Beside(name, "share of vehicles", 0.81, 0.58, 0.019, False, "", 0.02)
    found = readiness(works, replace(forecast, beside=(*forecast.beside, beside)))
    words = "58 % ± 2 run through, closed form 81.0 %"
    assert found.together.split() == words.split()
    assert readiness(works, forecast).together.endswith("closed form -")
    assert readiness(works, replace(forecast, figures=())).together == ""


def test_kind_nobody_asked_for_is_not_judged() -> None:
    """Without demands there is no readiness to show."""
    _, works, forecast = made_forecast()
    still = tuple(replace(f, demands_a_year=0.0) for f in forecast.floats)
    assert readiness(works, replace(forecast, floats=still)).rows == ()


def test_plan_beside_run_differs_first() -> None:
    """What differs stands first, with the reason; the works as a whole before its places."""
    found = how_sure(made_forecast()[2])
    assert [row.agrees for row in found.beside] == [False, False, False, True]
    assert [row.figure for row in found.beside][:2] == ["output", "vehicles inside"]
    assert found.agree == 1 and found.beside[2].plan == "93.0 %"
    assert ("Left out", "40 working days at the start") in found.facts


def rows(table: Table) -> int:
    """Its number of rows."""
    return len(table.rows)


def test_every_paper_of_the_forecast_has_its_table() -> None:
    """Nothing a forecast holds is left out of the tables, row for row; each column is explained."""
    _, _, forecast = made_forecast()
    found = tables()
    assert {name: rows(one) for name, one in found.items() if name.startswith("run_")} == {
        "run_figures": len(forecast.figures),
        "run_weeks": len(forecast.weeks),
        "run_turns": len(forecast.turns),
        "run_turn_days": sum(len(t.quantile_days) for t in forecast.turns),
        "run_hold_ups": len(forecast.holdups),
        "run_use": len(forecast.uses),
        "run_queues": len(forecast.queues),
        "run_floats": len(forecast.floats),
        "run_piles": len(forecast.piles),
        "run_beside_plan": len(forecast.beside),
    }
    explained = {(row[0], row[1]) for row in found["columns"].rows}
    for name, one in found.items():
        if name.startswith("run_"):
            assert all((name, column.name) in explained for column in one.columns)
    assert "run through" in {row[0] for row in found["methods"].rows}
    assert "run through" in {row[0] for row in found["assumptions"].rows}


def test_tables_without_forecast_are_as_before() -> None:
    """A plan alone has none of them, and its other tables are the same."""
    plan, works = made_plan()
    found = plan_tables(plan, works)
    assert not [one.name for one in found if one.name.startswith("run_")]
    assert plan_tables(plan, works, None) == found


def test_unknown_interval_is_blank_in_the_files() -> None:
    """Neither "inf" nor "nan" reaches a file or the summary."""
    plan, works, forecast = made_forecast()
    unsure: Forecast = replace(
        forecast,
        figures=tuple(replace(e, half_width=inf, high=inf) for e in forecast.figures),
        holdups=tuple(replace(h, half_width=nan) for h in forecast.holdups),
    )
    found = {one.name: one for one in plan_tables(plan, works, unsure)}
    for name in ("run_figures", "run_hold_ups"):
        lines = list(csv.reader(io.StringIO(csv_bytes(found[name]).decode("utf-8-sig"))))
        place = lines[0].index("half_width")
        assert {line[place] for line in lines[1:]} == {""}
    text = json.dumps(summary(plan, unsure), allow_nan=False)
    assert '"half_width": null' in text


def test_summary_holds_figures_and_what_they_rest_on() -> None:
    """Keys are those of the forecast; hold-ups by cause sum to all standing days."""
    plan, _, forecast = made_forecast()
    found = summary(plan, forecast)["forecast"]
    assert found["figures"]["output_a_week"]["mean"] == 10.31
    assert (found["replications"], found["seed"], found["interrupted"]) == (60, 7, False)
    by_cause = found["hold_up_vehicle_days_a_year_by_cause"]
    assert set(by_cause) == {c.value for c in Cause}
    assert sum(by_cause.values()) == pytest.approx(STANDING)
    assert found["promise_chance_by_type"]["jointed"] == pytest.approx(
        forecast.turns[1].promise_chance.mean  # type: ignore[union-attr]
    )
    assert found["figures"]["holdup_days"]["mean"] == pytest.approx(STANDING / A_YEAR)
    assert "forecast" not in summary(plan) and "run through" not in summary(plan)["cards"]


def test_workbook_has_the_answer_in_front_and_a_sheet_a_table() -> None:
    """The front sheet says the answer; every table of the run has its sheet."""
    plan, works, forecast = made_forecast()
    made = plan_tables(plan, works, forecast)
    book = CalamineWorkbook.from_filelike(BytesIO(plan_workbook(made, plan, forecast)))
    front = book.get_sheet_by_name("Front").to_python(skip_empty_area=False)
    words = plain(" ".join(str(cell) for row in front for cell in row))
    assert "10.31 ± 0.10 vehicles a full week come out" in words and "Standing time" in words
    assert {"run_hold_ups", "run_beside_plan"} <= set(book.sheet_names)
    assert plan_workbook(made, plan, forecast) == plan_workbook(made, plan, forecast)
