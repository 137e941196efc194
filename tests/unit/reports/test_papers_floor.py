"""The papers of the floor: job cards, labels, dockets, day sheets, read back from their PDF."""

import re

import pytest

from control_case import days
from events_story import vehicle
from pacewright.base.faults import CallError
from pacewright.events.stages import Found, Held
from pacewright.events.things import Cause, Unit, Verdict
from pacewright.events.units import Fitted, Scrapped, UnitFound
from pacewright.reports.hazards import NONE_DECLARED
from pacewright.reports.papers.blocks import Codes, Label
from pacewright.reports.papers.caution import GENERAL, LIFTING, PLANT, WAITING, caution_for
from pacewright.reports.papers.day_sheet import day_sheets
from pacewright.reports.papers.docket import dockets
from pacewright.reports.papers.ground import Ground
from pacewright.reports.papers.job_cards import HOURS_NOTE, job_cards
from pacewright.reports.papers.press import Size
from pacewright.reports.papers.shortage_list import shortage_list
from pacewright.reports.papers.unit_labels import unit_labels
from pacewright.reports.papers.vehicle_card import vehicle_card
from paper_ground import MONDAY, ground, pages, text_of, told
from small_works import small_works


@pytest.fixture(scope="module")
def made() -> Ground:
    """The small works with its story."""
    return ground()


# -- job cards -----------------------------------------------------------------------------------


def test_a_card_is_of_one_trade_at_one_stage(made: Ground) -> None:
    """102 at the strip: the fitter's work there, its hours, and the codes of both."""
    paper = job_cards(made, {"vehicle": "102"})
    first = next(one for one in pages(paper) if "Strip out" in one)
    for words in (
        "Job card: Fitter", "Vehicle 102", "vehicle:102", "stage:strip", "position 1",
        "Strip out st-1 always 36.0", "Standard hours: 36.0 man-hours", HOURS_NOTE,
    ):  # fmt: skip
        assert words in first, words
    assert all(card.size is Size.A5 for card in paper.cards)


def test_cards_of_a_vehicle_cover_its_route(made: Ground) -> None:
    """Every operation of its type that is always done stands on one card, none on two."""
    said = text_of(job_cards(made, {"vehicle": "102"}))
    for operation in ("st-1", "pt-1", "ch-1", "ch-3", "mr-1", "ft-1", "ts-1"):
        assert said.count(f" {operation} always") == 1, operation
    for other_type in ("bd-3", "ch-2"):
        assert other_type not in said


def test_in_question_is_only_done_if_found(made: Ground) -> None:
    """What inspection has not judged is marked so and counted apart; no share is printed."""
    said = text_of(job_cards(made, {"vehicle": "102", "trade": "body"}))
    assert "Pillar and panel repair bd-1 only if found 44.0" in said
    assert "Standard hours: 0.0 man-hours, and 70.0 if all is found" in said
    assert "80 %" not in said
    assert "0.8" not in said


def test_findings_decide_what_is_done() -> None:
    """Found to need it: stands as found; found good: does not stand."""
    case = told()
    case.tell(Found, vehicle("102"), "bd-1", Verdict.REPAIR)
    case.tell(Found, vehicle("102"), "bd-2", Verdict.USE)
    made = Ground(case.works, case.now, case.at())
    said = text_of(job_cards(made, {"vehicle": "102", "trade": "body"}))
    assert "bd-1 found: repair 44.0" in said
    assert "bd-2" not in said


def test_without_vehicle_cards_are_of_the_days_ahead(made: Ground) -> None:
    """Within a day: what stands at stages; the paint of the body comes later."""
    said = text_of(job_cards(Ground(made.works, made.standing, made.now, days=1), {}))
    assert "Vehicle 101" in said
    assert "Wire and fit out" in said
    assert "Prepare and paint" not in said


def test_a_shop_has_cards_for_its_units_too(made: Ground) -> None:
    """The electrical shop's motor M-1 waits for a vehicle: its card stands with the others."""
    said = text_of(job_cards(made, {"shop": "elec"}))
    assert "Traction motor M-1" in said
    assert "Motor overhaul mt-1 always 14.0" in said
    assert "Motor rewind mt-2 only if found 40.0" in said
    assert "motor:M-1" in said
    assert "Strip out" not in said


def test_card_of_one_unit(made: Ground) -> None:
    """A unit off a vehicle and unserviceable has its own card; a ready one has none."""
    assert "Came off vehicle 101" in text_of(job_cards(made, {"unit": "motor:M-1"}))
    for wrong in ("valve:V-9", "motor:M-77", "motor"):
        with pytest.raises(CallError, match="off a vehicle and unserviceable"):
            job_cards(made, {"unit": wrong})


@pytest.mark.parametrize("asked", [{"shop": "x"}, {"trade": "x"}])
def test_unknown_shop_or_trade_is_told_with_those_known(
    made: Ground, asked: dict[str, str]
) -> None:
    """The message lists what there is."""
    with pytest.raises(CallError, match="Write one of"):
        job_cards(made, asked)


# -- caution -------------------------------------------------------------------------------------


def test_caution_follows_the_columns_and_the_words() -> None:
    """Lifting by its column, plant and long waits by theirs, brakes and paint by their names."""
    works = small_works(lambda tables: tables["operations"][6].update(moves_vehicle="yes"))
    at = {one.operation_id: one for one in works.operations}
    assert LIFTING not in caution_for(works, [], [at["pt-1"]]).lines
    moving = [one for one in works.operations if one.moves_vehicle]
    assert len(moving) == 1
    assert LIFTING in caution_for(works, [], moving).lines
    paint = caution_for(works, ["paint"], [at["pt-1"]]).lines
    assert PLANT in paint
    assert WAITING in paint
    assert any(line.startswith("Paint:") for line in paint)
    assert any(
        line.startswith("Brakes and air:") for line in caution_for(works, [], [], ["Brake"]).lines
    )
    assert caution_for(works, [], [], ["Seats"]).lines == (GENERAL, NONE_DECLARED)


# -- labels --------------------------------------------------------------------------------------


def labels(made: Ground, **asked: str) -> dict[str, Label]:
    """Serial -> its label."""
    cards = unit_labels(made, asked).cards
    return {one.serial: one for card in cards for one in card.blocks if isinstance(one, Label)}


def test_conditions_differ_in_word_frame_and_orders(made: Ground) -> None:
    """Serviceable, unserviceable and quarantine have each their word, look and order."""
    found = labels(made)
    looks = {serial: (found[serial].word, found[serial].look) for serial in ("V-9", "M-1", "V-8")}
    assert looks == {
        "V-9": ("serviceable", "serviceable"),
        "M-1": ("unserviceable", "unserviceable"),
        "V-8": ("quarantine", "quarantine"),
    }
    assert "DO NOT FIT" not in found["V-9"].orders
    assert found["M-1"].orders.startswith("DO NOT FIT.")
    assert found["V-8"].orders.startswith("DO NOT FIT, REPAIR OR SCRAP")


def test_printed_label_tells_unit_condition_and_code(made: Ground) -> None:
    """On paper: the word in capitals, name, serial, code, what it came off."""
    said = text_of(unit_labels(made, {"unit": "motor:M-1"}))
    for words in ("UNSERVICEABLE", "Traction motor", "M-1", "motor:M-1", "vehicle 101, 9 Mar 2026"):
        assert words in said, words


def test_eight_labels_a_sheet_of_a4() -> None:
    """Nine labels take two sheets; a label is A7 (74 x 105 mm, ISO 216)."""
    case = told()
    case.in_store("axle", *(f"A-{n}" for n in range(9)))
    made = Ground(case.works, case.now, case.at())
    found = pages(unit_labels(made, {"kind": "axle"}))
    assert [len(re.findall(r"axle:A-\d", one)) for one in found] == [8, 1]


def test_labels_are_picked_by_kind_shop_and_condition(made: Ground) -> None:
    """Each pick leaves only what has it; scrapped ones are printed only when asked for."""
    assert set(labels(made, kind="valve")) == {"V-8", "V-9"}
    assert set(labels(made, shop="elec")) == {"M-1"}
    assert set(labels(made, condition="quarantine")) == {"V-8"}
    with pytest.raises(CallError, match="nothing to print"):
        unit_labels(made, {"condition": "scrapped"})
    with pytest.raises(CallError, match="serviceable, unserviceable, quarantine, scrapped"):
        unit_labels(made, {"condition": "good"})


def test_scrapped_units_have_a_label_of_their_own() -> None:
    """A scrapped unit is marked never to be fitted."""
    case = told()
    case.tell(Scrapped, Unit("motor", "M-1"))
    made = Ground(case.works, case.now, case.at())
    assert labels(made, unit="motor:M-1")["M-1"].orders.startswith("NEVER FIT")


def test_ready_unit_past_its_life_is_not_to_be_fitted() -> None:
    """A kind with a life limit whose unit is of unknown age: the label says do not fit."""
    works = small_works(lambda tables: tables["unit_kinds"][2].update(life_months="60"))
    case = told(works)
    made = Ground(case.works, case.now, case.at())
    assert labels(made)["V-9"].orders.startswith("DO NOT FIT: when it was new is not known")


def test_unit_on_a_vehicle_has_no_label_and_no_docket(made: Ground) -> None:
    """What is fitted is refused, with what it is on; what is unknown, too."""
    case = told()
    case.in_store("motor", "M-5")
    case.tell(Fitted, Unit("motor", "M-5"), vehicle("101"))
    fitted = Ground(case.works, case.now, case.at())
    with pytest.raises(CallError, match="it is on vehicle 101"):
        unit_labels(fitted, {"unit": "motor:M-5"})
    with pytest.raises(CallError, match="it is on vehicle 101"):
        dockets(fitted, {"thing": "motor:M-5"})
    with pytest.raises(CallError, match="knows no such unit"):
        unit_labels(made, {"unit": "motor:M-99"})


# -- dockets -------------------------------------------------------------------------------------


def test_docket_of_a_unit_goes_to_its_shop(made: Ground) -> None:
    """An unserviceable unit without a place told goes to the shop of its kind."""
    said = text_of(dockets(made, {"thing": "motor:M-1"}))
    for words in ("Movement docket", "UNSERVICEABLE: do not fit.", "To elec, Electrical shop",
                  "motor:M-1", "Handed over by", "Taken over by"):  # fmt: skip
        assert words in said, words


def test_docket_of_a_piece_carries_both_codes(made: Ground) -> None:
    """The piece and the stage it goes to can be scanned."""
    said = text_of(dockets(made, {"thing": "body:B-103", "to": "body"}))
    assert "body:B-103" in said
    assert "stage:body" in said
    assert "Came with 103" in said


def test_dockets_of_all_moves_are_those_of_the_day(made: Ground) -> None:
    """One docket for each move that the day proposes."""
    moves = made.today.found.moves
    assert moves
    assert len(dockets(made, {}).cards) == len(moves)


def test_docket_of_nothing_is_refused(made: Ground) -> None:
    """What the record does not know, or what is outside, has no docket."""
    for thing in ("body:B-9", "vehicle:105", "nonsense"):
        with pytest.raises(CallError, match="stands by itself"):
            dockets(made, {"thing": thing})


# -- lists and sheets ----------------------------------------------------------------------------


def test_shortage_list_is_that_of_control(made: Ground) -> None:
    """As many rows as control finds, the motor of 101 among them with its owner."""
    said = text_of(shortage_list(made, {}))
    assert f"{len(made.today.short)} shortage" in said
    assert "Traction motor 101 Fit out" in said
    assert "Electrical shop" in said


def test_shortage_list_of_nothing_says_what_that_means(made: Ground) -> None:
    """An empty list is told in words."""
    assert "Nothing is short" in text_of(shortage_list(made, {"vehicle": "103", "shop": "paint"}))


def test_shortage_list_of_a_vehicle_that_is_not_here_is_refused(made: Ground) -> None:
    """A wrong number must not read as nothing short."""
    for number in ("999", "105"):
        with pytest.raises(CallError, match=r"not know it|at gate"):
            shortage_list(made, {"vehicle": number})


def test_names_of_files_hold_no_wild_signs(made: Ground) -> None:
    """Whatever a serial holds, the name of the file holds letters, digits, dots and dashes."""
    card = unit_labels(made, {}).cards
    for about in ('a"b', "a\r\nb", "../up", "a:b/c", "Ж"):
        assert re.fullmatch(r"[A-Za-z0-9._-]+", made.paper("docket", about, card).name)


def test_day_sheet_tells_units_pieces_and_hours(made: Ground) -> None:
    """The sheet of the electrical shop: its motor first, what stands there, hours of its trade."""
    paper = day_sheets(made, "elec")
    said = text_of(paper)
    sheet = next(one for one in made.sheets if one.shop_id == "elec")
    motor = sheet.units[0]
    assert f"Traction motor motor {motor.advice.value} {motor.due_today} {motor.due_week}" in said
    assert "Fit out fitout" in said
    assert "Electrician" in said
    assert "not for ranking people" in said
    assert len(day_sheets(made).cards) == len(made.works.shops)


def test_papers_do_not_wait_for_the_clock(made: Ground) -> None:
    """The day on the sheet is that of the works clock, not of this machine."""
    assert f"{(MONDAY + days(1.2)).day} Mar 2026" in text_of(day_sheets(made, "elec"))


# -- holds ---------------------------------------------------------------------------------------


def test_a_safety_hold_stands_first_on_card_and_docket() -> None:
    """What is held for safety says so before anything else, with reason and who frees it."""
    case = told()
    case.tell(Held, vehicle("102"), Cause.SAFETY, "", "jack slipped")
    made = Ground(case.works, case.now, case.at())
    for paper in (
        vehicle_card(made, "102"),
        job_cards(made, {"vehicle": "102", "shop": "strip"}),
        dockets(made, {"thing": "vehicle:102", "to": "strip"}),
    ):
        said = text_of(paper)
        held = said.index("HELD Held for safety: jack slipped")
        assert held < said.index("CAUTION")
        assert "NO WORK AND NO MOVE until an authorised person has freed it" in said
    assert "HELD" not in text_of(vehicle_card(made, "101"))


def test_a_unit_beyond_repair_has_no_job_card() -> None:
    """What inspection condemned is not worked on."""
    case = told()
    case.tell(UnitFound, Unit("motor", "M-1"), "mt-1", Verdict.SCRAP)
    made = Ground(case.works, case.now, case.at())
    with pytest.raises(CallError, match="beyond repair"):
        job_cards(made, {"unit": "motor:M-1"})


def test_docket_books_its_move_by_one_scan(made: Ground) -> None:
    """One symbol holds piece and stage, which the scan field takes for the move."""
    card = dockets(made, {"thing": "body:B-103", "to": "body"}).cards[0]
    codes = next(one for one in card.blocks if isinstance(one, Codes))
    assert [one.says for one, _ in codes.codes] == ["body:B-103", "body:B-103 stage:body"]
