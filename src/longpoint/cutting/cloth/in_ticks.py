"""A stated cloth problem made ready for the search: breadths decided, sizes in ticks, equal pieces counted."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from longpoint.cutting.cloth.money import roll_use
from longpoint.cutting.cloth.problem import ClothPiece, ClothProblem, ClothRoll, SewnPiece
from longpoint.cutting.cloth.seam import divide
from longpoint.cutting.lay.exact.share import Charge
from longpoint.cutting.lay.ground import UNLIMITED, Ground, Stock, Want
from longpoint.cutting.lay.rounding import mm, nm_down, nm_up, tick_of
from longpoint.errors import Fault, Where


@dataclass(frozen=True, slots=True)
class CutFor:
    """A rectangle to cut for a piece.

    Attributes:
        piece: Place of the piece in the problem.
        number: Which of its count, from 1.
        breadth: Which breadth, from 1; 0 for a piece in one.
    """

    piece: int
    number: int
    breadth: int


@dataclass(frozen=True, slots=True)
class InTicks:
    """What the search works on, and how to read its answer.

    Attributes:
        ground: Pieces and rolls in ticks.
        tick: Nanometres in a tick.
        cuts: For every kind of rectangle what it is cut for, in order.
        rolls: For every roll of the ground its place in the problem.
        sewn: Pieces sewn from breadths.
        by_cost: What is made least: cost, or length where nothing has a price.
    """

    ground: Ground
    tick: int
    cuts: tuple[tuple[CutFor, ...], ...]
    rolls: tuple[int, ...]
    sewn: tuple[SewnPiece, ...]
    by_cost: bool


@dataclass(frozen=True, slots=True)
class _Room:
    """Usable width and length of a roll in nanometres."""

    across: int
    along: int | None
    warp_along: bool


def room_of(roll: ClothRoll) -> tuple[int, int | None]:
    """Usable width and length of a roll: selvedges and the squared end left off.

    Returns:
        Width and length; None for an unlimited length. [nm]
    """
    across = nm_down(roll.width) - 2 * nm_up(roll.selvedge)
    along = None if roll.length is None else nm_down(roll.length) - nm_up(roll.square_up)
    return across, along


def in_ticks(problem: ClothProblem) -> tuple[InTicks | None, list[Fault]]:
    """Decide breadths, find pieces that no roll can give, and turn sizes into ticks.

    Args:
        problem: A problem without faults of statement.

    Returns:
        The counted problem and the faults; where there are faults there is no counted problem.
    """
    faults: list[Fault] = []
    rooms = [_Room(*room_of(roll), roll.warp_along) for roll in problem.rolls]
    longest = None if problem.longest_length is None else nm_down(problem.longest_length)
    edge = nm_up(problem.allowance)
    kinds: dict[tuple[int, int, bool], list[CutFor]] = {}
    sewn: list[SewnPiece] = []
    for at, piece in enumerate(problem.pieces):
        across, along = nm_up(piece.across_warp) + 2 * edge, nm_up(piece.along_warp) + 2 * edge
        if _fits_some(across, along, piece.may_turn, rooms, longest):
            cuts = [(across, 0)]
        else:
            made = _sewn(problem, piece, along, rooms, longest) if piece.may_seam else None
            if made is None:
                faults.append(_too_large(problem, piece, at, across, along, rooms, longest))
                continue
            seams, widths = made
            sewn.append(SewnPiece(piece.name, tuple(map(mm, seams)), tuple(_net(widths, edge))))
            cuts = [(width, breadth) for breadth, width in enumerate(widths, start=1)]
        for number in range(1, piece.count + 1):
            for width, breadth in cuts:
                turn = piece.may_turn and breadth == 0
                kinds.setdefault((width, along, turn), []).append(CutFor(at, number, breadth))
    if faults:
        return None, faults
    return _ticked(problem, kinds, tuple(sewn), longest), []


def _net(widths: tuple[int, ...], edge: int) -> list[float]:
    last = len(widths) - 1
    return [mm(width - edge * ((at == 0) + (at == last))) for at, width in enumerate(widths)]


def _fits(across: int, along: int, room: _Room, longest: int | None) -> bool:
    if not room.warp_along:
        across, along = along, across
    limit = min((size for size in (room.along, longest) if size is not None), default=None)
    return across <= room.across and (limit is None or along <= limit)


def _fits_some(across: int, along: int, may_turn: bool, rooms: list[_Room], longest: int | None) -> bool:
    return any(
        _fits(across, along, room, longest) or (may_turn and _fits(along, across, room, longest))
        for room in rooms
    )


def _sewn(
    problem: ClothProblem, piece: ClothPiece, along: int, rooms: list[_Room], longest: int | None
) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    usable = max(
        (room.across for room in rooms if room.warp_along and _fits(1, along, room, longest)), default=None
    )
    if usable is None:
        return None
    made = divide(
        across=nm_up(piece.across_warp),
        usable=usable,
        edge=nm_up(problem.allowance),
        seam=nm_up(problem.seam_allowance),
        at=None if piece.seam_at is None else nm_up(piece.seam_at),
        in_middle=piece.seam_in_middle,
    )
    return None if made is None else (made.seams, made.cut)


def _too_large(
    problem: ClothProblem,
    piece: ClothPiece,
    at: int,
    across: int,
    along: int,
    rooms: list[_Room],
    longest: int | None,
) -> Fault:
    """The fault of a piece that no roll can give, with the roll that comes nearest and by how much."""
    best: tuple[int, int, str] | None = None
    for number, room in enumerate(rooms):
        for turned in (False, True) if piece.may_turn else (False,):
            w, h = (along, across) if turned != (not room.warp_along) else (across, along)
            limit = min((size for size in (room.along, longest) if size is not None), default=None)
            wide, long = max(0, w - room.across), max(0, h - limit) if limit is not None else 0
            lacks = " and ".join(
                text
                for lack, text in (
                    (wide, f"{_say(wide)} mm too narrow"),
                    (long, f"{_say(long)} mm too short"),
                )
                if lack
            )
            if best is None or wide + long < best[0]:
                best = (wide + long, number, f"it is {lacks}{' with the piece turned' if turned else ''}")
    assert best is not None
    roll = problem.rolls[best[1]]
    remedy = "Take a wider roll"
    turned_fits = any(
        _fits(*((along, across) if room.warp_along else (across, along)), room, longest) for room in rooms
    )
    if not piece.may_turn and turned_fits:
        remedy += ", allow the piece to be turned across the warp"
    if not piece.may_seam:
        remedy += ", or allow it to be sewn from breadths"
    else:
        remedy += ", or move the seam"
    return Fault(
        "piece-wider-than-rolls",
        f'Piece "{piece.name}", {_say(across)} mm across the warp and {_say(along)} mm along it with its allowances, '
        f'fits on no roll; nearest is "{roll.name}": {best[2]}.',
        remedy + ".",
        Where(f"pieces[{at}]"),
    )


def _say(nanometres: int) -> str:
    return f"{mm(nanometres):.3f}".rstrip("0").rstrip(".")


def _ticked(
    problem: ClothProblem,
    kinds: dict[tuple[int, int, bool], list[CutFor]],
    sewn: tuple[SewnPiece, ...],
    longest: int | None,
) -> InTicks:
    rolls = [at for at, roll in enumerate(problem.rolls) if room_of(roll)[0] > 0]
    stated = [size for across, along, _ in kinds for size in (across, along)]
    for at in rolls:
        roll = problem.rolls[at]
        across, length = room_of(roll)
        stated += [across, length or 0, nm_up(roll.square_up), nm_up(roll.step), nm_up(roll.shortest_kept)]
        for flaw in roll.flaws:
            stated += [
                nm_down(flaw.x_from) - nm_up(roll.selvedge),
                nm_down(flaw.y_from) - nm_up(roll.square_up),
            ]
            stated += [
                (across if flaw.x_to is None else nm_up(flaw.x_to) - nm_up(roll.selvedge)),
                nm_up(flaw.y_to) - nm_up(roll.square_up),
            ]
    tick = tick_of([*stated, longest or 0])
    by_cost = any((roll.worth if roll.at_hand else roll.price) > 0 for roll in problem.rolls)
    wants = tuple(Want(w // tick, h // tick, len(cuts), turn) for (w, h, turn), cuts in kinds.items())
    stocks = tuple(_stock(problem.rolls[at], tick, by_cost=by_cost) for at in rolls)
    ground = Ground(wants, stocks, UNLIMITED if longest is None else longest // tick)
    return InTicks(ground, tick, tuple(map(tuple, kinds.values())), tuple(rolls), sewn, by_cost)


def _stock(roll: ClothRoll, tick: int, *, by_cost: bool) -> Stock:
    across, length = room_of(roll)
    selvedge, square = nm_up(roll.selvedge), nm_up(roll.square_up)
    blocked = []
    for flaw in roll.flaws:
        x0, x1 = (
            nm_down(flaw.x_from) - selvedge,
            nm_down(roll.width if flaw.x_to is None else flaw.x_to) - selvedge,
        )
        y0, y1 = nm_down(flaw.y_from) - square, nm_up(flaw.y_to) - square
        if x1 > 0 and x0 < across and y1 > 0:
            blocked.append((max(x0, 0) // tick, max(y0, 0) // tick, min(x1, across) // tick, y1 // tick))
    per_tick = tick / 1e9  # metres in a tick
    price, worth = float(roll.price) * per_tick, float(roll.worth) * per_tick
    fixed = rate = remains = 0.0
    if not by_cost:
        rate = per_tick
    elif roll.at_hand:
        assert length is None or length > 0
        if length is None:
            rate = worth
        else:  # all of it is lost, and what remains is given back
            fixed, remains = worth * (length // tick + square // tick), worth
    elif roll.whole:
        assert length is not None
        fixed, remains = price * (length // tick + square // tick), worth
    else:
        rate = price
    step = nm_up(roll.step) // tick if roll.step and not (roll.at_hand or roll.whole) else 1
    return Stock(
        width=across // tick,
        length=UNLIMITED if length is None else length // tick,
        blocked=tuple(blocked),
        fixed=fixed,
        rate=rate,
        worth=remains,
        kept=nm_up(roll.shortest_kept) // tick,
        step=max(1, step),
        start=square // tick,
        crossways=not roll.warp_along,
    )


def charge_of(problem: ClothProblem, counted: InTicks) -> Charge:
    """What rolls cost in whole cents, rounded as a plan rounds; where nothing has a price, the ticks used.

    Returns:
        The charge.
    """
    stocks = counted.ground.stocks
    if not counted.by_cost:
        return Charge(lambda at, used: used + stocks[at].start, Fraction(counted.tick, 10**9))

    def cost(at: int, used: int) -> int:
        use = roll_use(problem.rolls[counted.rolls[at]], (used + stocks[at].start) * counted.tick, ())
        return int(use.cost.scaleb(2))

    return Charge(cost, Fraction(1, 100))
