"""Movement dockets: from where to where a piece or unit goes, signed by giver and taker."""

from collections.abc import Mapping

from pacewright.base.faults import CallError
from pacewright.control.next_move import MARRY, PART, RELEASE, Move
from pacewright.events.scan import code_of, parts_of_code
from pacewright.events.standing import PieceStanding, UnitStanding
from pacewright.events.things import Condition, Piece, Unit
from pacewright.reports.papers.blocks import (
    Block,
    Codes,
    Facts,
    Lines,
    Said,
    Signatures,
)
from pacewright.reports.papers.caution import caution_moving
from pacewright.reports.papers.ground import Ground, moment, together
from pacewright.reports.papers.press import Card, Paper, Size
from pacewright.reports.papers.qr import code, stage_code
from pacewright.reports.written import NONE, day

KEY = "docket"
_SIGNED = ("Handed over by", "Taken over by", "Date and time")
_BOOK = (
    "The record knows of a move only when it is booked. A docket proposes; it moves nothing by "
    "itself."
)
_WORD = {
    PART: "Part here into assemblies",
    MARRY: "Marry",
    RELEASE: "Ready for release: an inspector signs it out",
}
_UNIT_ORDERS = {
    Condition.SERVICEABLE: "Serviceable: fit only to what it was given out for.",
    Condition.UNSERVICEABLE: "UNSERVICEABLE: do not fit.",
    Condition.QUARANTINE: "QUARANTINE: moved only by word of an inspector; do not fit or repair.",
    Condition.SCRAPPED: "SCRAPPED: never fit.",
}


def dockets(ground: Ground, asked: Mapping[str, str]) -> Paper:
    """The docket of one thing, or one for each move that can be made now.

    Parameters
    ----------
    asked : ``thing`` code of a piece or unit, ``to`` a stage, shop or place; with neither, every
        next move, with ``shop`` only those into or out of that shop.

    Raises
    ------
    CallError : no such thing or shop; it stands on something; nothing can move.
    """
    if not asked.get("thing"):
        return ground.paper(KEY, asked.get("shop", "") or "moves", _moves(ground, asked))
    parts, to = parts_of_code(asked["thing"]), asked.get("to", "")
    piece = ground.standing.pieces.get(Piece(*parts)) if parts else None
    unit = ground.standing.units.get(Unit(*parts)) if parts else None
    if unit is not None:
        card = _unit_card(ground, unit, to)
    elif piece is not None and piece.stands:
        card = _piece_card(ground, piece, to)
    else:
        raise CallError(
            f"thing {asked['thing'][:90]}: the record knows nothing of that code that stands by "
            "itself. A docket is of a piece or unit inside, as body:B-11 or motor:M-7. Correct it."
        )
    return ground.paper(KEY, asked["thing"], [card])


def _moves(ground: Ground, asked: Mapping[str, str]) -> list[Card]:
    shop_id = asked.get("shop", "")
    if shop_id:
        ground.shop(shop_id)

    def mine(one: Move) -> bool:
        ends = (ground.stages.get(one.from_stage_id), ground.stages.get(one.to_stage_id))
        return any(stage is not None and stage.shop_id == shop_id for stage in ends)

    moves = [one for one in ground.today.found.moves if not shop_id or mine(one)]
    if not moves:
        raise CallError(
            f"{KEY}: no move can be made now{f' into or out of {shop_id}' if shop_id else ''}. "
            "Dockets are of moves that can be made, or of one thing. Name it: thing=body:B-11."
        )
    return [_move_card(ground, one) for one in moves if one.piece in ground.pieces]


def _move_card(ground: Ground, one: Move) -> Card:
    piece = ground.pieces[one.piece]
    to = _place(ground, one.to_stage_id, one.position)
    facts = (
        ("From", _place(ground, one.from_stage_id)),
        ("To", to if one.to_stage_id else NONE),
        ("Vehicle", one.vehicle_id or NONE),
        ("Promise", day(one.promise)),
        ("Could go since", moment(one.since)),
        ("Must go by", moment(one.must_by) if one.must_by else "any time"),
    )
    late = (
        Said("When it has not gone by then, the stage before is done again: tell the planner.")
        if one.must_by
        else None
    )
    first = Said(_WORD[one.what]) if one.what in _WORD else None
    return _card(piece, one.piece, together(first, Facts(facts, 2), late), one.to_stage_id, ground)


def _piece_card(ground: Ground, known: PieceStanding, to: str) -> Card:
    where = known.stage_id or known.place_id
    facts = (
        ("From", _place(ground, where, known.position) if where else NONE),
        ("To", _place(ground, to) if to else "(write in)"),
        ("Vehicle", known.vehicle_id or NONE),
        ("Came with", known.came_from or known.vehicle_id or NONE),
        ("Stands there since", moment(known.since)),
        ("Held for", ", ".join(known.holds) or NONE),
    )
    stage_id = to if to in ground.stages else ""
    return _card(known.piece, str(known.piece), (Facts(facts, 2),), stage_id, ground)


def _unit_card(ground: Ground, known: UnitStanding, to: str) -> Card:
    if known.onto is not None:
        raise CallError(
            f"thing {code_of(known.unit)}: it is on {known.onto}. A docket is of a unit that is on "
            "nothing. Book first that it came off."
        )
    kind = next((one for one in ground.works.unit_kinds if one.unit_kind_id == known.unit[0]), None)
    to = to or (kind.shop_id if kind and known.condition is Condition.UNSERVICEABLE else "")
    facts = (
        ("Unit kind", kind.name if kind else known.unit.unit_kind_id),
        ("Condition", known.condition.value),
        ("From", _place(ground, known.place_id) if known.place_id else NONE),
        ("To", _place(ground, to) if to else "(write in)"),
        ("Given out for", str(known.issued_to) if known.issued_to else NONE),
        ("Last told of", moment(known.last_at)),
    )
    blocks = (Said(_UNIT_ORDERS[known.condition]), Facts(facts, 2))
    return _card(known.unit, f"{known.unit}", blocks, "", ground)


def _card(
    thing: Piece | Unit, named: str, blocks: tuple[Block, ...], to_stage: str, ground: Ground
) -> Card:
    says = code_of(thing)
    codes = [(code(says), "What goes")]
    if to_stage:
        # Both codes in one symbol, as if scanned one after the other.
        both = code(f"{says} {stage_code(to_stage).says}")
        codes.append((both, f"Books the move to {ground.stages[to_stage].name}"))
    held = ground.held(thing) if isinstance(thing, Piece) else None
    return Card(
        title="Movement docket",
        subject=named[0].upper() + named[1:],
        size=Size.A5,
        blocks=together(
            held,
            *blocks,
            Codes(tuple(codes), 26),
            Said(_BOOK, small=True),
            caution_moving(ground.works, thing[0]),
            Said("Notes", small=True),
            Lines(2),
            Signatures(_SIGNED),
        ),
    )


def _place(ground: Ground, place_id: str, position: int = 0) -> str:
    stage = ground.stages.get(place_id)
    name = stage.name if stage else ground.shop_names.get(place_id, "")
    where = f"{place_id}, {name}" if name else place_id
    return f"{where}, position {position}" if position else where
