"""Board problems from the parts of a batch, solved in the order of building.

Where bars and rails are cut from the same timber they stand in one list and share boards: bars are cut first from
each board, rails later from what is left of it. Otherwise each section and use has a list of its own; bars come first,
so they choose first among the boards at hand.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from longpoint.cutting.boards import values as cut
from longpoint.cutting.boards.values import BoardPlan, BoardProblem, nanometres
from longpoint.errors import Fault, FaultsError, Where
from longpoint.frame.members import Kind
from longpoint.frame.parts import GLUED_LONGER, MEASURED_EXTRA, Part
from longpoint.model.batch import Batch
from longpoint.needs.taken import Taken, may_run_out
from longpoint.works.designed import Designed, Say
from longpoint.works.ripping import STRIP_SHARE
from longpoint.works.stock import ASKED_FOR, OnSale, Section, Use

BEND = {
    # in plane, out of plane, twist, over the part's length [mm]: estimates, from what an eye still sees
    Kind.BAR: (Fraction(4), Fraction(3, 2), Fraction(3, 2)),
    Kind.END_RAIL: (Fraction(4), Fraction(3, 2), Fraction(3, 2)),
    Kind.CROSS_RAIL: (Fraction(6), Fraction(3), Fraction(3)),
    Kind.MIDDLE_PIECE: (None, None, None),
    Kind.PLATE: (None, None, None),
}
"""How much bend may be left in a part, by what it becomes. Estimate."""

_GRADES = {
    "bars": cut.Grade.BARS,
    "rails": cut.Grade.RAILS,
    "short": cut.Grade.SHORT_PIECES,
    "firewood": cut.Grade.FIREWOOD,
}
_KINDS = {
    Kind.BAR: cut.Kind.BAR,
    Kind.END_RAIL: cut.Kind.RAIL,
    Kind.CROSS_RAIL: cut.Kind.RAIL,
    Kind.MIDDLE_PIECE: cut.Kind.MIDDLE,
    Kind.PLATE: cut.Kind.BLOCK,
}


@dataclass(frozen=True, slots=True)
class SectionCut:
    """The parts of one section and use, and how they are cut.

    Attributes:
        use: "bars", "rails" or "bars and rails".
        section: The timber.
        problem: What was asked of the saw.
        plan: What comes back.
        priced: Whether the costs in it are money; otherwise they are metres.
    """

    use: str
    section: Section
    problem: BoardProblem
    plan: BoardPlan
    priced: bool

    @property
    def boards_taken(self) -> Counter[str]:
        """How many boards of each name are bought or taken from the rack, before anything is ripped."""
        own = {item.name for item in self.section.on_sale} | {board.name for board in self.section.rack}
        strips = Counter(board.board for board in self.plan.boards if board.board in own)
        how = self.section.ripped
        return strips if how is None else Counter({name: how.boards(count) for name, count in strips.items()})

    @property
    def to_buy(self) -> int:
        """How many boards are bought."""
        on_sale = {item.name for item in self.section.on_sale}
        return sum(count for name, count in self.boards_taken.items() if name in on_sale)


def board_plans(
    batch: Batch,
    works: Sequence[tuple[Designed, Sequence[Part]]],
    *,
    solve: Callable[[BoardProblem], BoardPlan],
    say: Say = lambda _text: None,
    apart: bool = False,
) -> tuple[SectionCut, ...]:
    """Plans the cutting of all parts.

    Where what is stated does not give all parts of a timber, boards of an ordinary shop are bought besides.

    Args:
        batch: The batch.
        works: Each work's design and parts.
        solve: Plans one problem; raises `FaultsError` for parts that no board can give.
        say: Told what is being done.
        apart: Whether bars and rails never share boards, as in plans of old.

    Returns:
        One plan for each section and use; bars first.

    Raises:
        FaultsError: With all parts that no board can give, over all sections.
    """
    sections = _sections(works)
    tries: list[tuple[tuple[Use, ...], bool]] = [(("bars", "rails"), False)]
    if may_run_out(sections):
        # what is to be had only so often may be enough if the others choose first
        tries.append((("rails", "bars"), False))
    if any(section.besides for section in sections):
        tries.append((("bars", "rails"), True))
    stands: dict[bool, FaultsError] = {}
    for order, besides in tries:
        lists = _lists(batch, works, order, apart=apart)
        try:
            plans = _plans_in_turn(batch, lists, solve=solve, say=say, besides=besides)
        except FaultsError as error:
            stands.setdefault(besides, error)
            continue
        return tuple(sorted(plans, key=lambda plan: plan.use))
    raise stands[max(stands)]


def _sections(works: Sequence[tuple[Designed, Sequence[Part]]]) -> list[Section]:
    both = [section for designed, _ in works for section in (designed.bars, designed.rails)]
    return [section.single() for section in both if section is not None]


@dataclass(frozen=True, slots=True)
class _List:
    """What is cut from one timber in one go.

    Attributes:
        use: "bars", "rails" or "bars and rails".
        section: The timber.
        parts: What is wanted of it.
        bevel_first: Whether bars are bevelled before they are cut.
        any_use: Whether the batch needs this timber for bars and for rails.
    """

    use: str
    section: Section
    parts: tuple[Part, ...]
    bevel_first: bool
    any_use: bool


def _lists(
    batch: Batch,
    works: Sequence[tuple[Designed, Sequence[Part]]],
    order: Sequence[Use],
    *,
    apart: bool,
) -> list[_List]:
    """The lists in the order in which they are planned."""
    # two timbers of one section are two lists: a work that names one is not cut from the other
    found: dict[tuple[Use, Sides, tuple[str, ...]], _List] = {}
    for use in order:
        for designed, parts in works:
            section = designed.bars if use == "bars" else designed.rails
            if section is None:
                continue
            section = section.single()  # glued bars are cut as the boards they are glued from
            # A frame without rails has its plates cut from the bars' timber.
            own = {Kind.BAR, Kind.PLATE} if designed.rails is None else {Kind.BAR}
            mine = tuple(part for part in parts if (part.kind in own) == (use == "bars"))
            key = (use, _sides(section), section.timbers)
            before = found.setdefault(
                key, _List(use, section, (), designed.design.bevel_first, any_use=False)
            )
            found[key] = replace(before, parts=before.parts + mine)
    lists: list[_List] = []
    for (use, sides, timbers), one in found.items():
        beside: Use = "rails" if use == "bars" else "bars"
        alike = (listed for (kind, same, _), listed in found.items() if (kind, same) == (beside, sides))
        other = found.get((beside, sides, timbers)) or next(alike, None)
        if other is None:
            lists.append(one)
        elif apart or not _may_share(batch, one, other):
            lists.append(replace(one, any_use=True))
        elif use == order[0]:
            bars, rails = (one, other) if use == "bars" else (other, one)
            lists.append(replace(bars, use="bars and rails", parts=bars.parts + rails.parts, any_use=True))
    return [one for one in lists if one.parts]


def _may_share(batch: Batch, one: _List, other: _List) -> bool:
    """Whether bars and rails may come from one board.

    Not where only some of the timber serves both, nor where boards come bevelled. Where bars are bevelled before they
    are cut, their stretch is crosscut from the board first: its last bar is then held by itself at the saw.
    """
    bars = one if one.use == "bars" else other
    if one.section.on_sale != other.section.on_sale:
        return False
    if not bars.bevel_first:
        return True
    comes_bevelled = bars.section.bevelled or batch.bars.bevel_by == "yard"
    held = all(part.long_point >= batch.shop.saw.shortest_held for part in bars.parts if part.bevel_fall)
    return held and not comes_bevelled


def _plans_in_turn(
    batch: Batch,
    lists: Sequence[_List],
    *,
    solve: Callable[[BoardProblem], BoardPlan],
    say: Say,
    besides: bool,
) -> list[SectionCut]:
    """Plans of the lists in this order: what one takes, the next finds gone.

    Args:
        batch: The batch.
        lists: The lists.
        solve: Plans one problem.
        say: Told what is being done.
        besides: Whether boards are bought besides for a list that those stated do not give.
    """
    faults: list[Fault] = []
    plans: list[SectionCut] = []
    taken = Taken()
    for one in lists:
        choices = [one.section]
        if besides and one.section.besides:
            choices.append(one.section.with_besides())
        stands: list[Fault] = []
        for section in choices:
            problem = _problem(batch, replace(one, section=section), taken)
            say(f"Cutting {problem.section}: {sum(part.how_many for part in problem.parts)} parts")
            try:
                plan = solve(problem)
            except FaultsError as error:
                stands = [_of_work(fault, one.parts, problem, batch) for fault in error.faults]
                continue
            taken.note(section, plan)
            plans.append(SectionCut(one.use, section, problem, plan, priced=_priced(section)))
            break
        else:
            faults += stands
    if faults:
        raise FaultsError(faults)
    return plans


def _of_work(fault: Fault, parts: Sequence[Part], problem: BoardProblem, batch: Batch) -> Fault:
    """A fault about a part, said of the work in the batch file that wants it, with what helps there."""
    part = next((part for part in parts if part.mark == fault.where.key), None)
    if part is None:
        return fault
    index = next(index for index, work in enumerate(batch.work) if work.name == part.work)
    side = "width" if batch.work[index].width >= batch.work[index].height else "height"
    remedy = fault.remedy
    longest = max((board.length for board in problem.boards), default=0) - 2 * problem.shop.trim
    if fault.code == "no-board-gives" and part.kind is Kind.BAR and nanometres(part.long_point) > longest:
        remedy = (
            'Join the bars in length (bars.join = "scarf" or "half-lap with plate"), make the frame in two halves '
            "(inside.in_halves = true), find a longer board, or make the work smaller."
        )
    return Fault(fault.code, f"{part.work}: {fault.what}", remedy, Where(f"work[{index + 1}].{side}"))


Sides = tuple[frozenset[Fraction], str, Fraction | None]
"""Both sides, the wood, and the width of the boards it is ripped from."""


def _sides(section: Section) -> Sides:
    ripped_from = None if section.ripped is None else section.ripped.wide
    return frozenset((section.thickness, section.depth)), section.wood, ripped_from


def _priced(section: Section) -> bool:
    return section.per_metre is not None


def _problem(batch: Batch, one: _List, taken: Taken) -> BoardProblem:
    section = one.section
    less_sorting = batch.shop.less_sorting
    show = batch.style.finer().show
    saw = batch.shop.saw
    thin, wide = sorted((section.real_thickness, section.real_depth))
    return BoardProblem(
        section=f"{one.use} {show(section.real_thickness, with_unit=False)} × {show(section.real_depth)}",
        thickness=nanometres(thin),
        depth=nanometres(wide),
        parts=tuple(_wanted(part, bevel_first=one.bevel_first) for part in one.parts),
        boards=tuple(_boards(batch, section, taken)),
        shop=cut.Shop(
            kerf=nanometres(saw.kerf),
            trim=nanometres(saw.end_trim),
            safe=nanometres(saw.shortest_held),
            offcuts=_offcuts(batch, one),
            keeping=Fraction(batch.shop.offcuts.keeping) if _priced(section) else Fraction(0),
            widest_at_45=nanometres(saw.widest),
            highest_at_45=nanometres(saw.highest),
            shortest_planed=None if one.use == "rails" else nanometres(Fraction(305)),
        ),
        settings_within=None if less_sorting is None else Fraction(str(less_sorting)),
    )


def _offcuts(batch: Batch, one: _List) -> tuple[cut.OffcutWorth, ...]:
    """What an offcut of this timber may serve as again.

    Timber that the batch needs for one use only serves that use and blocks. Where both are of one section each serves
    for all, but what is bevelled already makes no rail: only where bars and rails share boards is what is left cut off
    before the bevel is made.
    """
    worth = batch.shop.offcuts
    rails_share = worth.share if worth.rails_share is None else worth.rails_share
    blocks = batch.shop.saw.shortest_held if worth.blocks is None else worth.blocks
    bevelled = one.use == "bars" and one.bevel_first
    makes_rails = one.use != "bars" or (one.any_use and not bevelled)
    known = {
        cut.Kind.BAR: (worth.bars, worth.share, one.use != "rails" or one.any_use),
        cut.Kind.RAIL: (worth.rails, rails_share, makes_rails),
        cut.Kind.MIDDLE: (worth.middle_pieces, worth.middle_pieces_share, makes_rails),
        cut.Kind.BLOCK: (blocks, worth.blocks_share, True),
    }
    return tuple(
        cut.OffcutWorth(kind, nanometres(at_least), Fraction(str(share)))
        for kind, (at_least, share, serves) in known.items()
        if serves and share > 0
    )


def _wanted(part: Part, *, bevel_first: bool) -> cut.WantedPart:
    """A part as the saw sees it.

    A piece mitred at one end only is planned with two square cuts, as long as its long point: the mitre is sawn from
    the piece afterwards and needs no more timber than it holds. It cannot come out short; what is lost against a
    shared mitre is less than the bar's thickness. A bar that is glued from boards is planned as those, square and
    longer: its ends are sawn once it is glued.
    """
    if part.boards > 1:
        length, how_many = part.long_point + GLUED_LONGER, part.how_many * part.boards
        part = replace(
            part,
            long_point=length,
            how_many=how_many,
            thickness=part.thickness / part.boards,
            bevel_fall=Fraction(0),
            ends=("square", "square"),
        )
    ends = cut.End.SQUARE
    if part.mitred:
        ends = cut.End.MITRE
    elif "half-lap" in part.ends:
        ends = cut.End.HALF_LAP
    in_plane, out_of_plane, twist = BEND[part.kind]
    on_edge = part.thickness <= part.depth
    return cut.WantedPart(
        name=part.mark,
        length=nanometres(part.long_point),
        how_many=part.how_many,
        kind=_KINDS[part.kind],
        ends=ends,
        lie=cut.Lie.LIP_FIXED if bevel_first and part.bevel_fall else cut.Lie.MAY_TURN,
        mitre_width=nanometres(part.thickness) if part.mitred else 0,
        round=part.saw_round,
        needs=_GRADES[part.needs],
        bend=cut.BendLimits(
            None if in_plane is None else nanometres(in_plane),
            None if out_of_plane is None else nanometres(out_of_plane),
            None if twist is None else nanometres(twist),
        ),
        stands=cut.Stands.ON_EDGE if on_edge else cut.Stands.FLAT,
        extra=nanometres(MEASURED_EXTRA) if part.measured else 0,
        work=part.work,
    )


def _boards(batch: Batch, section: Section, taken: Taken) -> list[cut.Board]:
    per_metre = section.per_metre
    boards = [
        cut.Board(
            name=item.name,
            length=nanometres(item.length, round_up=False),
            cost=_cost_on_sale(item),
            how_many=taken.left_on_sale(section, item),
            grade=_GRADES[item.grade],
        )
        for item in section.on_sale
    ]
    for board in section.rack:
        left = taken.left_at_hand(section, board)
        if left < 1:
            continue
        if board.worth is not None and per_metre is not None:
            cost = in_coins(Fraction(board.worth))
        else:
            rate = Fraction(per_metre) if per_metre is not None else Fraction(1)
            cost = board.length / 1000 * rate * Fraction(str(batch.shop.rack_share))
            cost = in_coins(cost) if per_metre is not None else cost
        boards.append(
            cut.Board(
                name=board.name,
                length=nanometres(board.length, round_up=False),
                cost=Fraction(round(cost * 10000), 10000),
                how_many=left,
                at_hand=True,
                grade=_GRADES[board.grade],
                bow=nanometres(board.bow or 0),
                crook=nanometres(board.crook or 0),
                twist=nanometres(board.twist or 0),
                spoiled=tuple(
                    cut.Span(nanometres(span.start, round_up=False), nanometres(span.stop), span.why)
                    for span in board.avoid
                ),
            )
        )
    rate = Fraction(per_metre) if per_metre is not None else Fraction(1)
    boards += (
        cut.Board(
            name=strip.name,
            length=nanometres(strip.length, round_up=False),
            cost=Fraction(round(strip.length / 1000 * rate * STRIP_SHARE * 100), 100),
            how_many=left,
            at_hand=True,
        )
        for strip, left in taken.fallen(section).items()
    )
    return boards


def _cost_on_sale(item: OnSale) -> Fraction:
    """What a board counts: its price, or its length in metres; more where it must be asked for besides."""
    if item.price is not None:
        return in_coins(Fraction(item.price))
    return item.length / 1000 * (Fraction(ASKED_FOR) if item.besides else 1)


def in_coins(cost: Fraction) -> Fraction:
    """What a shop charges for one board: its price by length, rounded to the cent."""
    return Fraction(math.floor(cost * 100 + Fraction(1, 2)), 100)


def board_money(cost: Fraction) -> Decimal:
    """A cost of the cutting room as money, rounded to cents."""
    return (Decimal(cost.numerator) / Decimal(cost.denominator)).quantize(Decimal("0.01"))
