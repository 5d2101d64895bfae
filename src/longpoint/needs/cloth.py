"""Cloth problems from the works of a batch, and the lay on the rolls."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from longpoint.cutting.cloth.problem import ClothPiece, ClothPlan, ClothProblem, ClothRoll, Flaw
from longpoint.errors import Caution, Fault, FaultsError, Where
from longpoint.model.cloth import Roll
from longpoint.model.works import ClothWish
from longpoint.works.brief import Brief
from longpoint.works.cloth import same_cloth
from longpoint.works.ordinary import ordinary_roll, region_words
from longpoint.works.piece import Piece


@dataclass(frozen=True, slots=True)
class ClothCutting:
    """Pieces that come from the same rolls, and their lay.

    Attributes:
        pieces: The pieces.
        problem: What was asked.
        plan: The lay.
        priced: Whether the costs in it are money; otherwise they are metres.
    """

    pieces: tuple[Piece, ...]
    problem: ClothProblem
    plan: ClothPlan
    priced: bool


def lay_cloth(
    briefs: Sequence[Brief],
    pieces: tuple[Piece, ...],
    *,
    sewn: ClothWish,
    solve: Callable[[ClothProblem], ClothPlan],
) -> tuple[ClothCutting, ...]:
    """Lays all pieces on the rolls; works keep to the roll they name, or to rolls of their cloth.

    Only where those give out are works that name none laid on whatever else there is: `cloth_cautions` says so. Works
    with fewest rolls to choose from are laid first; what is laid later on the same roll begins where that was cut off.

    Args:
        briefs: What every work started from.
        pieces: The pieces of works.
        sewn: What the batch says for all works, for what is taken off edges and lies in seams.
        solve: Lays one problem.

    Raises:
        FaultsError: With all pieces that no roll can give.
    """
    works, stock = {brief.work.name: brief for brief in briefs}, briefs[0].stock
    groups: dict[tuple[tuple[Roll, ...], bool], list[Piece]] = {}
    for piece in pieces:
        rolls = works[piece.work].work_cloth.rolls or (_assumed_roll(works, pieces, sewn),)
        open_to_all = works[piece.work].cloth.roll == "auto" and len(rolls) < len(stock.roll)
        groups.setdefault((rolls, open_to_all), []).append(piece)
    faults: list[Fault] = []
    found: list[ClothCutting] = []
    taken: dict[str, Fraction] = {}
    for (rolls, open_to_all), members in sorted(groups.items(), key=lambda group: len(group[0][0])):
        before = len(found)
        try:
            try:
                found.append(_laid(works, members, _behind(rolls, taken), sewn, solve=solve))
            except FaultsError:
                if not open_to_all:
                    raise
                found.append(_laid(works, members, _behind(stock.roll, taken), sewn, solve=solve))
        except FaultsError as error:
            wide = [
                piece for piece in _named(error.faults, members) if works[piece.work].cloth.roll == "auto"
            ]
            if not wide or not stock.roll or stock.as_stated:
                faults += (_of_work(fault, members, works) for fault in error.faults)
                continue
            rest = [piece for piece in members if piece not in wide]
            for some, on in (
                (wide, (_wider_roll(_assumed_roll(works, wide, sewn), rolls[0]),)),
                (rest, _behind(rolls, taken)),
            ):
                try:
                    found += [_laid(works, some, on, sewn, solve=solve)] if some else []
                except FaultsError as again:
                    faults += (_of_work(fault, some, works) for fault in again.faults)
        for use in (use for cutting in found[before:] for use in cutting.plan.uses):
            taken[use.roll] = taken.get(use.roll, Fraction(0)) + Fraction(max(use.used, use.bought))
    if faults:
        raise FaultsError(faults)
    return tuple(found)


def _named(faults: Iterable[Fault], members: Sequence[Piece]) -> list[Piece]:
    """Pieces that faults are about, where every fault is about one."""
    places = [fault.where.key for fault in faults]
    if not all(place.startswith("pieces[") and place.endswith("]") for place in places):
        return []
    return [members[index] for index in sorted({int(place[len("pieces[") : -1]) for place in places})]


def _wider_roll(ordinary: Roll, cloth: Roll) -> Roll:
    """A roll of an ordinary shop that is wide enough for pieces that no roll stated gives, of the same cloth.

    Args:
        ordinary: The roll of an ordinary shop.
        cloth: The roll whose cloth the pieces are figured for.
    """
    return cloth.model_copy(
        update={
            "name": f"{cloth.name}, wider",
            "width": ordinary.width,
            "length": None,
            "at_hand": False,
            "per_metre": None,
            "per_yard": None,
            "flaws": (),
        }
    )


def _behind(rolls: Sequence[Roll], taken: Mapping[str, Fraction]) -> tuple[Roll, ...]:
    """Rolls as they are once lengths have come off their free ends; a roll that is used up stays, too short for all."""
    found = []
    for roll in rolls:
        off = taken.get(roll.name, Fraction(0))
        if off:
            flaws = tuple(
                flaw.model_copy(update={"start": max(Fraction(0), flaw.start - off), "stop": flaw.stop - off})
                for flaw in roll.flaws
                if flaw.stop > off
            )
            length = None if roll.length is None else max(roll.length - off, Fraction(1, 1000))
            roll = roll.model_copy(update={"length": length, "flaws": flaws})
        found.append(roll)
    return tuple(found)


def _assumed_roll(works: Mapping[str, Brief], pieces: Sequence[Piece], sewn: ClothWish) -> Roll:
    """A roll of an ordinary shop that is wide enough for every piece, if there is one."""
    across = max(_wanted(piece, works[piece.work].cloth).across_warp for piece in pieces)
    region = works[pieces[0].work].stock.region
    return ordinary_roll(region, across=Fraction(across) + 2 * sewn.edge_allowance)


def _laid(
    works: Mapping[str, Brief],
    members: Sequence[Piece],
    rolls: Sequence[Roll],
    sewn: ClothWish,
    *,
    solve: Callable[[ClothProblem], ClothPlan],
) -> ClothCutting:
    priced = any(roll.rate is not None for roll in rolls)
    # Shops cut by the tenth of a metre, or by the eighth of a yard.
    stock = works[members[0].work].stock
    step = 114.3 if stock.style.system == "in" else 100.0
    stated = {roll.name for roll in stock.roll}
    widest = max(roll.width - 2 * roll.selvedge for roll in rolls)
    wanted = [_wanted(piece, works[piece.work].cloth) for piece in members]
    if not any(roll.name in stated for roll in rolls):
        # No shop has it wider: there is nothing but a seam.
        wanted = [
            replace(
                one,
                may_seam=one.may_seam or Fraction(one.across_warp) + 2 * sewn.edge_allowance > widest,
            )
            for one in wanted
        ]
    problem = ClothProblem(
        pieces=tuple(wanted),
        rolls=tuple(_roll(roll, priced=priced, step=step) for roll in rolls),
        allowance=float(sewn.edge_allowance),
        seam_allowance=float(sewn.seam_allowance),
    )
    return ClothCutting(tuple(members), problem, solve(problem), priced)


def _of_work(fault: Fault, members: list[Piece], works: Mapping[str, Brief]) -> Fault:
    """A fault about a piece, said of the work in the batch file that wants it."""
    place = fault.where.key
    if fault.code == "not-enough-cloth":
        what = fault.what
        for piece in members:
            what = what.replace(f'"{piece.code}" (', f"{piece.work} (")
        rolls = works[members[0].work].stock.roll
        short = next((k for k, roll in enumerate(rolls, start=1) if roll.length is not None), None)
        return Fault(
            fault.code,
            what,
            "State another [[roll]], or more length on one; a [[roll]] without length is bought by the metre.",
            Where("roll" if short is None else f"roll[{short}].length"),
        )
    if not (place.startswith("pieces[") and place.endswith("]")):
        return fault
    piece = members[int(place[len("pieces[") : -1])]
    remedy = fault.remedy.replace("across the warp", "across the warp (may_turn under [work.cloth])")
    remedy = remedy.replace("sewn from breadths", "sewn from breadths (seam under [work.cloth])")
    return Fault(fault.code, f"{piece.work}: {fault.what}", remedy, Where(f"{works[piece.work].key}.width"))


def cloth_faults(rolls: Sequence[Roll]) -> tuple[Fault, ...]:
    """Rolls of which some have a price and some have none."""
    if not any(roll.rate is not None for roll in rolls):
        return ()
    return tuple(
        Fault(
            "price-missing",
            f"the roll {roll.name!r} has no price per metre, while another has one.",
            "Give per_metre for each roll (for a roll at hand, what a metre of it is worth), or for none.",
            Where(f"roll[{index + 1}].per_metre"),
        )
        for index, roll in enumerate(rolls)
        if roll.rate is None
    )


def cloth_cautions(briefs: Sequence[Brief], cloths: Sequence[ClothCutting] = ()) -> tuple[Caution, ...]:
    """What a person should know about the cloth that the plan is made with.

    Args:
        briefs: What every work started from.
        cloths: Its lays.
    """
    stock = briefs[0].stock
    region = region_words(stock.region)
    if not stock.roll:
        return (Caution("roll-assumed", facts=(("region", region),)),)
    figured = {brief.work.name: brief.work_cloth.rolls[0] for brief in briefs}
    found = []
    for cloth in cloths:
        rolls = {roll.name: roll for roll in stock.roll}
        for work, roll in dict.fromkeys(_rolls_used(cloth)):
            mine = figured[work]
            if roll not in rolls:
                wide = next(one.width for one in cloth.problem.rolls if one.name == roll)
                found.append(
                    Caution(
                        "roll-added",
                        about=work,
                        facts=(("width", stock.style.show(Fraction(wide))), ("region", region)),
                    )
                )
                continue
            if not same_cloth(rolls[roll], mine):
                found.append(Caution("other-cloth", about=work, facts=(("mine", mine.name), ("other", roll))))
    return tuple(found)


def _rolls_used(cloth: ClothCutting) -> Iterable[tuple[str, str]]:
    """Work and roll of every piece laid."""
    works = {piece.code: piece.work for piece in cloth.pieces}
    for placed in cloth.plan.laid:
        yield works[placed.piece], placed.roll


def _wanted(piece: Piece, wish: ClothWish) -> ClothPiece:
    along, across = (piece.width, piece.height) if piece.warp == "x" else (piece.height, piece.width)
    return ClothPiece(
        name=piece.code,
        across_warp=float(across),
        along_warp=float(along),
        count=piece.how_many,
        may_turn=wish.may_turn,
        may_seam=wish.seam,
    )


def _roll(roll: Roll, *, priced: bool, step: float) -> ClothRoll:
    price = roll.rate if priced and roll.rate is not None else Decimal(1)
    return ClothRoll(
        name=roll.name,
        width=float(roll.width),
        length=None if roll.length is None else float(roll.length),
        price=Decimal(0) if roll.at_hand else price,
        at_hand=roll.at_hand,
        worth=price if roll.at_hand else Decimal(0),
        step=0.0 if roll.at_hand else step,
        selvedge=float(roll.selvedge),
        flaws=tuple(
            Flaw(
                float(flaw.start),
                float(flaw.stop),
                float(flaw.left),
                None if flaw.right is None else float(flaw.right),
                flaw.why,
            )
            for flaw in roll.flaws
        ),
    )
