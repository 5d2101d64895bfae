"""From a stated cloth problem to a plan with its bound."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from longpoint.cutting.cloth.check import check_cloth_plan
from longpoint.cutting.cloth.confirm import confirm_cloth
from longpoint.cutting.cloth.cuts import NotStraightError, Sheet, slices
from longpoint.cutting.cloth.faults import faults_of
from longpoint.cutting.cloth.in_ticks import InTicks, charge_of, in_ticks
from longpoint.cutting.cloth.money import cents_up, roll_use, rounding
from longpoint.cutting.cloth.problem import ClothCut, ClothPlan, ClothProblem, ClothRoll, LaidPiece, RollUse
from longpoint.cutting.lay.evidence import scaled
from longpoint.cutting.lay.ground import Put
from longpoint.cutting.lay.rounding import mm, nm_down, nm_up
from longpoint.cutting.lay.shelves import shelves
from longpoint.cutting.lay.solve import Found, solve_ground
from longpoint.errors import Caution, Fault, FaultsError

HAIR = Decimal("0.000001")
SLIVER = 10  # nm: strips this narrow come from rounding sizes that are no whole number of nanometres


def plan_cloth(problem: ClothProblem, *, effort: int = 20_000) -> ClothPlan:
    """Lay all pieces on the rolls at the least cost that the effort finds.

    Args:
        problem: Pieces and rolls.
        effort: How many lays the search may try; counts work, so that every machine gives the same plan.

    Returns:
        A plan that `check_cloth_plan` accepts, with its lower bound.

    Raises:
        FaultsError: If the problem is badly stated or a piece cannot be had; carries every fault found.
    """
    faults = faults_of(problem)
    if faults:
        raise FaultsError(faults)
    counted, faults = in_ticks(problem)
    if counted is None:
        raise FaultsError(faults)
    found = solve_ground(counted.ground, effort=effort, charge=charge_of(problem, counted))
    if not found.complete:
        raise FaultsError([_not_enough(problem, counted, found.puts)])
    plan, wrong = _checked(problem, counted, found)
    if plan is None:
        rows = shelves(counted.ground)
        if rows is not None:
            plan, _ = _checked(problem, counted, replace(found, puts=rows))
        if plan is None:
            raise FaultsError([_only_refused(wrong)])
    return confirm_cloth(problem, plan, refused=wrong)


def _checked(
    problem: ClothProblem, counted: InTicks, found: Found
) -> tuple[ClothPlan | None, tuple[str, ...]]:
    """The plan of a lay, None where the referee refuses it, and what is wrong then."""
    try:
        plan = _plan(problem, counted, found)
    except NotStraightError:
        return None, ("Straight cuts do not free every piece.",)
    wrong = check_cloth_plan(problem, plan)
    return (None if wrong else plan), tuple(fault.what for fault in wrong)


def _only_refused(wrong: Sequence[str]) -> Fault:
    return Fault(
        "lay-refused",
        f"The lay that was found is wrong, by our own check, and plain rows do not fit: {wrong[0]}",
        "That is a fault of this program, not of the list. One more metre on a roll lets it lay plain rows.",
    )


def _not_enough(problem: ClothProblem, counted: InTicks, puts: Sequence[Put]) -> Fault:
    short: dict[str, int] = {}
    for kind, cuts in enumerate(counted.cuts):
        laid = sum(put.want == kind for put in puts)
        for cut in cuts[laid:]:
            name = problem.pieces[cut.piece].name
            short[name] = short.get(name, 0) + 1
    named = ", ".join(f'"{name}" ({count})' for name, count in short.items())
    return Fault(
        "not-enough-cloth",
        f"The rolls do not hold all pieces as far as the search could find; left over: {named}.",
        "Add a roll, or more length to one; a roll without a stated length is bought by the metre.",
    )


def _plan(problem: ClothProblem, counted: InTicks, found: Found) -> ClothPlan:
    puts = found.puts
    laid: list[LaidPiece] = []
    cuts: list[ClothCut] = []
    uses: list[RollUse] = []
    names = _named(problem, counted, puts)
    for stock, at in enumerate(counted.rolls):
        here = [(put, cut) for put, cut in zip(puts, names, strict=True) if put.stock == stock]
        if not here:
            continue
        roll = problem.rolls[at]
        pieces = [
            _laid(problem, counted, roll, put, *cut)
            for put, cut in sorted(here, key=lambda row: (row[0].y, row[0].x))
        ]
        laid.extend(pieces)
        made = _cuts(problem, roll, pieces)
        cuts.extend(made)
        used = max(nm_up(piece.y) + nm_up(piece.along) for piece in pieces)
        across = [
            nm_up(cut.at) for cut in made if cut.way == "across" and cut.across == mm(nm_down(roll.width))
        ]
        lengths = tuple(sorted({*across, used}))
        uses.append(roll_use(roll, used, lengths))
    cost = sum((use.cost for use in uses), Decimal("0.00"))
    used_all = sum(use.used for use in uses)
    return _proved(problem, counted, laid, cuts, uses, cost, used_all, found)


def _proved(
    problem: ClothProblem,
    counted: InTicks,
    laid: list[LaidPiece],
    cuts: list[ClothCut],
    uses: list[RollUse],
    cost: Decimal,
    used: float,
    found: Found,
) -> ClothPlan:
    """The plan with its bound, in the measure that was made least."""
    one = len(counted.ground.stocks) == 1
    length = 0.0
    if one:
        start = counted.ground.stocks[0].start
        length = min(used, mm((found.length + start) * counted.tick))
    if counted.by_cost:
        if found.least is not None:
            least = Decimal(found.least).scaleb(-2)
        elif one:
            least = (
                roll_use(problem.rolls[counted.rolls[0]], nm_up(length), ()).cost
                if length
                else Decimal("0.00")
            )
        else:
            least = cents_up(Decimal(max(0.0, found.at_least)) - rounding(problem.rolls) - HAIR)
        least = min(cost, max(Decimal("0.00"), least))
        proven = least >= cost
        gap = 0.0 if proven or cost <= 0 else float((cost - least) / cost)
    else:
        least = Decimal("0.00")
        if one:
            metres = length
        elif found.least is not None:
            metres = min(used, mm(found.least * counted.tick))
        else:
            metres = min(used, found.at_least * 1000 * (1 - 1e-9))
        length = metres
        proven = metres >= used
        gap = 0.0 if proven or used <= 0 else (used - metres) / used
    return ClothPlan(
        laid=tuple(laid),
        cuts=tuple(cuts),
        uses=tuple(uses),
        sewn=counted.sewn,
        cost=cost,
        used=used,
        at_least=least,
        used_at_least=length,
        proven=proven,
        gap=gap,
        cautions=tuple(_cautions(problem, counted, uses)),
        evidence=scaled(found.evidence, counted.tick),
    )


def _named(problem: ClothProblem, counted: InTicks, puts: Sequence[Put]) -> list[tuple[int, int, int]]:
    """For every put the piece, its number and breadth: equal rectangles are given out along the rolls."""
    order = sorted(range(len(puts)), key=lambda at: (puts[at].stock, puts[at].y, puts[at].x))
    given = [0] * len(counted.cuts)
    named: list[tuple[int, int, int]] = [(0, 0, 0)] * len(puts)
    for at in order:
        kind = puts[at].want
        cut = counted.cuts[kind][given[kind]]
        given[kind] += 1
        named[at] = (cut.piece, cut.number, cut.breadth)
    return named


def _laid(
    problem: ClothProblem, counted: InTicks, roll: ClothRoll, put: Put, piece: int, number: int, breadth: int
) -> LaidPiece:
    across, along = counted.ground.size(put)
    return LaidPiece(
        piece=problem.pieces[piece].name,
        number=number,
        roll=roll.name,
        x=mm(put.x * counted.tick + nm_up(roll.selvedge)),
        y=mm(put.y * counted.tick + nm_up(roll.square_up)),
        across=mm(across * counted.tick),
        along=mm(along * counted.tick),
        turned=put.turned == roll.warp_along,
        breadth=breadth,
    )


def label(piece: LaidPiece) -> str:
    """What a piece is called on the cut list.

    Returns:
        "name number", with "breadth n" for a sewn one.
    """
    return f"{piece.piece} {piece.number}" + (f" breadth {piece.breadth}" if piece.breadth else "")


def _cuts(problem: ClothProblem, roll: ClothRoll, pieces: Sequence[LaidPiece]) -> list[ClothCut]:
    whole = None if roll.length is None else nm_down(roll.length)
    width, square = nm_down(roll.width), nm_up(roll.square_up)
    made = []
    if square:
        made.append(
            ClothCut(
                roll.name,
                0.0,
                0.0,
                mm(width),
                None if whole is None else mm(whole),
                "across",
                mm(square),
                mm(square),
            )
        )
    sheet = Sheet(0, square, width, None if whole is None else whole - square)
    inside = [Sheet(nm_up(p.x), nm_up(p.y), nm_up(p.across), nm_up(p.along), label(p)) for p in pieces]
    for cut in slices(sheet, inside, hair=SLIVER):
        here = cut.sheet
        start = here.y if cut.way == "across" else here.x
        made.append(
            ClothCut(
                roll=roll.name,
                x=mm(here.x),
                y=mm(here.y),
                across=mm(here.across),
                along=None if here.along is None else mm(here.along),
                way=cut.way,
                at=mm(cut.at),
                measure=mm(cut.at - start),
                frees=cut.frees,
            )
        )
    return made


def _cautions(problem: ClothProblem, counted: InTicks, uses: Sequence[RollUse]) -> list[Caution]:
    found = []
    by_name = {roll.name: roll for roll in problem.rolls}
    for use in uses:
        roll = by_name[use.roll]
        if roll.right_side is not None:
            found.append(Caution("mark-right-side", about=roll.name, facts=(("side", str(roll.right_side)),)))
        longest = max(
            (
                float(Fraction(b) - Fraction(a))
                for a, b in zip((0.0, *use.lengths), use.lengths, strict=False)
            ),
            default=0.0,
        )
        if longest > 4000:
            found.append(Caution("long-length", about=roll.name, facts=(("length", f"{longest:.0f} mm"),)))
        if roll.flaws:
            found.append(Caution("look-for-flaws", about=roll.name))
    for piece in counted.sewn:
        found.append(
            Caution(
                "sewn-piece",
                about=piece.piece,
                facts=(
                    ("breadths", str(len(piece.breadths))),
                    ("seams", ", ".join(f"{seam:g} mm" for seam in piece.seams)),
                ),
            )
        )
    return found
