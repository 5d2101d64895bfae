"""Board problems from the parts of a batch, one for each section and use, solved in the order of building.

Bars come first, so they choose first among the boards at hand; rails take what is left.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from longpoint.cutting.boards import values as cut
from longpoint.cutting.boards.values import BoardPlan, BoardProblem, nanometres
from longpoint.errors import Fault, FaultsError, Where
from longpoint.frame.members import Kind
from longpoint.frame.parts import Part
from longpoint.jobs.taken import Taken, may_run_out
from longpoint.model.batch import Batch
from longpoint.works.designed import Designed, Say
from longpoint.works.stock import Section, Use

MEASURED_EXTRA = Fraction(4)
"""Timber kept on top of a piece that is measured on the frame before it is cut. [mm] Estimate."""

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
        use: "bars" or "rails".
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


def board_plans(
    batch: Batch,
    works: Sequence[tuple[Designed, Sequence[Part]]],
    *,
    solve: Callable[[BoardProblem], BoardPlan],
    say: Say = lambda _text: None,
) -> tuple[SectionCut, ...]:
    """Plans the cutting of all parts.

    Args:
        batch: The batch.
        works: Each work's design and parts.
        solve: Plans one problem; raises `FaultsError` for parts that no board can give.
        say: Told what is being done.

    Returns:
        One plan for each section and use; bars first.

    Raises:
        FaultsError: With all parts that no board can give, over all sections.
    """
    orders: tuple[tuple[Use, ...], ...] = (("bars", "rails"), ("rails", "bars"))
    first: FaultsError | None = None
    for order in orders:
        try:
            plans = _plans_in_turn(batch, works, order=order, solve=solve, say=say)
        except FaultsError as error:
            first = first or error
            # what is to be had only so often may be enough if the others choose first
            if not may_run_out(_sections(works)):
                break
            continue
        return tuple(sorted(plans, key=lambda plan: plan.use))
    assert first is not None
    raise first


def _sections(works: Sequence[tuple[Designed, Sequence[Part]]]) -> list[Section]:
    both = [section for designed, _ in works for section in (designed.bars, designed.rails)]
    return [section for section in both if section is not None]


def _plans_in_turn(
    batch: Batch,
    works: Sequence[tuple[Designed, Sequence[Part]]],
    *,
    order: Sequence[Use],
    solve: Callable[[BoardProblem], BoardPlan],
    say: Say,
) -> list[SectionCut]:
    """Plans of bars and rails in this order: what one takes, the next finds gone."""
    faults: list[Fault] = []
    plans: list[SectionCut] = []
    taken = Taken()
    shared = {_sides(designed.bars) for designed, _ in works if designed.bars is not None} & {
        _sides(designed.rails) for designed, _ in works if designed.rails is not None
    }
    for use in order:
        groups: dict[tuple[frozenset[Fraction], str], tuple[Section, list[Part], bool]] = {}
        for designed, parts in works:
            section = designed.bars if use == "bars" else designed.rails
            if section is None:
                continue
            # A frame without rails has its plates cut from the bars' timber.
            own = {Kind.BAR, Kind.PLATE} if designed.rails is None else {Kind.BAR}
            group = groups.setdefault(_sides(section), (section, [], designed.design.bevel_first))
            group[1].extend(part for part in parts if (part.kind in own) == (use == "bars"))
        for section, parts, bevel_first in groups.values():
            if not parts:
                continue
            problem = _problem(
                batch,
                use,
                section,
                parts,
                bevel_first=bevel_first,
                any_use=_sides(section) in shared,
                taken=taken,
            )
            say(f"Cutting {problem.section}: {sum(part.how_many for part in parts)} parts")
            try:
                plan = solve(problem)
            except FaultsError as error:
                faults += (_of_work(fault, parts, problem, batch) for fault in error.faults)
                continue
            taken.note(section, plan)
            plans.append(SectionCut(use, section, problem, plan, priced=_priced(section)))
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


def _sides(section: Section) -> tuple[frozenset[Fraction], str]:
    return frozenset((section.thickness, section.depth)), section.wood


def _priced(section: Section) -> bool:
    return section.per_metre is not None


def _problem(
    batch: Batch,
    use: str,
    section: Section,
    parts: Sequence[Part],
    *,
    bevel_first: bool,
    any_use: bool,
    taken: Taken,
) -> BoardProblem:
    less_sorting = batch.shop.less_sorting
    show = batch.style.finer().show
    saw = batch.shop.saw
    thin, wide = sorted((section.real_thickness, section.real_depth))
    return BoardProblem(
        section=f"{use} {show(section.real_thickness, with_unit=False)} × {show(section.real_depth)}",
        thickness=nanometres(thin),
        depth=nanometres(wide),
        parts=tuple(_wanted(part, section, bevel_first=bevel_first) for part in parts),
        boards=tuple(_boards(batch, section, taken)),
        shop=cut.Shop(
            kerf=nanometres(saw.kerf),
            trim=nanometres(saw.end_trim),
            safe=nanometres(saw.shortest_held),
            offcuts=_offcuts(batch, use, any_use=any_use, bevel_first=use == "bars" and bevel_first),
            keeping=Fraction(batch.shop.offcuts.keeping) if _priced(section) else Fraction(0),
            widest_at_45=nanometres(saw.width_at_45),
            highest_at_45=nanometres(saw.height_at_45),
            shortest_planed=nanometres(Fraction(305)) if use == "bars" else None,
        ),
        settings_within=None if less_sorting is None else Fraction(str(less_sorting)),
    )


def _offcuts(batch: Batch, use: str, *, any_use: bool, bevel_first: bool) -> tuple[cut.OffcutWorth, ...]:
    """What an offcut of this timber may serve as again.

    Rails' timber is shallower than bars' and serves for rails, middle pieces and blocks; bars' timber for bars and
    blocks. Where both are of one section each serves for all, but what is bevelled already makes no rail.
    """
    worth = batch.shop.offcuts
    rails_share = worth.share if worth.rails_share is None else worth.rails_share
    blocks = batch.shop.saw.shortest_held if worth.blocks is None else worth.blocks
    known = {
        cut.Kind.BAR: (worth.bars, worth.share, use == "bars" or any_use),
        cut.Kind.RAIL: (worth.rails, rails_share, use == "rails" or (any_use and not bevel_first)),
        cut.Kind.MIDDLE: (
            worth.middle_pieces,
            worth.middle_pieces_share,
            use == "rails" or (any_use and not bevel_first),
        ),
        cut.Kind.BLOCK: (blocks, worth.blocks_share, True),
    }
    return tuple(
        cut.OffcutWorth(kind, nanometres(at_least), Fraction(str(share)))
        for kind, (at_least, share, serves) in known.items()
        if serves and share > 0
    )


def _wanted(part: Part, section: Section, *, bevel_first: bool) -> cut.WantedPart:
    """A part as the saw sees it.

    A piece mitred at one end only is planned with two square cuts, as long as its long point: the mitre is sawn from
    the piece afterwards and needs no more timber than it holds. It cannot come out short; what is lost against a
    shared mitre is less than the bar's thickness.
    """
    ends = cut.End.SQUARE
    if part.mitred:
        ends = cut.End.MITRE
    elif "half-lap" in part.ends:
        ends = cut.End.HALF_LAP
    in_plane, out_of_plane, twist = BEND[part.kind]
    on_edge = section.thickness <= section.depth
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
            cost=Fraction(item.price) if item.price is not None else item.length / 1000,
            how_many=taken.left_on_sale(item),
            grade=_GRADES[item.grade],
        )
        for item in section.on_sale
    ]
    for board in section.rack:
        left = taken.left_at_hand(board)
        if left < 1:
            continue
        if board.worth is not None and per_metre is not None:
            cost = Fraction(board.worth)
        else:
            rate = Fraction(per_metre) if per_metre is not None else Fraction(1)
            cost = board.length / 1000 * rate * Fraction(str(batch.shop.rack_share))
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
    return boards


def board_money(cost: Fraction) -> Decimal:
    """A cost of the cutting room as money, rounded to cents."""
    return (Decimal(cost.numerator) / Decimal(cost.denominator)).quantize(Decimal("0.01"))


def without_prices(problem: BoardProblem) -> BoardProblem:
    """The same problem with every board costing its length in metres."""
    return replace(problem, boards=tuple(replace(b, cost=Fraction(b.length, 10**9)) for b in problem.boards))
