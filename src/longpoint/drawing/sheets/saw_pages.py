"""Saw pages: which board, which part, which length at the stop, which way the saw swings."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from longpoint.cutting.boards.numbering import board_numbers, boards_alike
from longpoint.cutting.boards.saw import bevel_ends_at, saw_rounds
from longpoint.cutting.boards.values import (
    BoardPlan,
    BoardProblem,
    Cut,
    Lie,
    Swing,
    millimetres,
)
from longpoint.drawing.paper.pages import (
    Beside,
    BigWords,
    Block,
    CautionBox,
    Column,
    Drawing,
    Page,
    Paper,
    Paragraph,
    Table,
)
from longpoint.drawing.sheets.ripping import RipFirst, rip_blocks
from longpoint.drawing.views.boards import BoardDrawing, board_view, swing_view
from longpoint.drawing.words.members import ranges
from longpoint.drawing.words.own_words import section_words
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Part
from longpoint.frame.parts import GLUED_LONGER


def saw_pages(
    plan: BoardPlan,
    problem: BoardProblem,
    *,
    say: Voice,
    paper: Paper,
    parts: Sequence[Part] = (),
    counted_in: str = "",
    rip: RipFirst | None = None,
    told: bool = True,
) -> tuple[Page, ...]:
    """The pages of one section: how the saw stands and which stops are set, then board by board.

    Args:
        plan: The cutting plan.
        problem: What was asked, for mitres and trims.
        say: How the sheet speaks.
        paper: The sheet.
        parts: The parts of the batch, for what the saw does at ends that are not alike.
        counted_in: What stands behind costs: the currency, or m where timber has no price.
        rip: What is ripped first; None for nothing.
        told: Whether how the saw stands and what can hurt is told; once in a pack is enough.
    """
    title = say("saw.title", section=section_words(plan.section, say))
    names = {part.name for part in problem.parts}
    own = [part for part in parts if part.mark in names]
    mitred = any(part.is_mitred for part in problem.parts) or any(
        part.mitred_once and part.boards == 1 for part in own
    )
    first: list[Block] = [] if rip is None else rip_blocks(rip, say)
    if mitred and told:
        half = (paper.room[0] - 8.0) / 2
        first.append(
            Beside(
                (
                    (
                        BigWords((say("saw.swing-left"),), like=(say("saw.swing-right"),)),
                        Drawing(swing_view(Swing.LEFT, say=say, width=half - 2)),
                    ),
                    (
                        BigWords((say("saw.swing-right"),), like=(say("saw.swing-left"),)),
                        Drawing(swing_view(Swing.RIGHT, say=say, width=half - 2)),
                    ),
                )
            )
        )
        first.append(Paragraph(say("saw.how-it-lies")))
    if mitred:
        first += _triangles(plan, problem, say)
    first += _unlike_ends(own, say)
    first += _stops(plan, problem, say)
    if plan.proof in ("branching", "enumeration"):
        first.append(Paragraph(_proof(plan, say), "small"))
    if plan.sorting is not None:
        first.append(Paragraph(_sorting(plan, counted_in, say), "small"))
    cautions = tuple(say(f"saw.caution-{what}") for what in ("hands", "short", "dust"))
    if told:
        first.append(CautionBox(say("sheet.caution"), cautions))
    boards = boards_alike(plan)
    room = paper.room[0]
    numbers = board_numbers(plan)
    drawing = board_drawing(plan, problem, width=room)
    blocks: list[Block] = [
        Drawing(
            board_view(
                group[0],
                tuple(numbers[board.board, board.copy] for board in group),
                drawing=drawing,
                say=say,
                width=room - 5.2,
            ),
            close=True,
        )
        for group in boards
    ]
    section = say("section-name.saw")
    verdict = say(f"saw.verdict-{_verdict(plan)}", gap=say.number(100 * float(plan.gap), places=2))
    one = "-one" if len(plan.boards) == 1 else ""
    lead = say(f"saw.lead{one}", count=len(plan.boards), verdict=verdict)
    if plan.left_worth > 0:
        key = "most" if plan.left_proven else "plain" if plan.left_worth_at_most is None else "at-most"
        lead += " " + say(
            f"saw.left-worth-{key}",
            left=_amount(plan.left_worth, counted_in, say),
            most=_amount(plan.left_worth_at_most or plan.left_worth, counted_in, say),
        )
    title_2, lead_2 = (
        say("saw.boards-title", section=section_words(plan.section, say)),
        say("saw.boards-lead"),
    )
    return (
        Page(
            "saw-stops",
            section,
            title,
            tuple(first),
            lead=lead,
            contents=say("saw.contents-stops", section=section_words(plan.section, say)),
            flows=True,
        ),
        Page(
            "saw-boards",
            section,
            title_2,
            tuple(blocks),
            lead=lead_2 if told else "",
            contents=say("saw.contents-boards", section=section_words(plan.section, say)),
            listed=False,
            flows=True,
        ),
    )


def board_drawing(plan: BoardPlan, problem: BoardProblem, *, width: float) -> BoardDrawing:
    """How the boards of a section are drawn, all to one scale.

    Args:
        plan: The cutting plan.
        problem: What was asked.
        width: Room on paper for the longest. [mm]
    """
    longest = max((millimetres(board.length) for board in plan.boards), default=1.0)
    return BoardDrawing(
        (width - 5.2) / longest,
        {part.name: part for part in problem.parts},
        millimetres(problem.shop.trim),
        {
            board.name: tuple((millimetres(span.start), millimetres(span.end)) for span in board.spoiled)
            for board in problem.boards
        },
        bevelled=any(part.is_mitred and part.lie is Lie.LIP_FIXED for part in problem.parts)
        and all(part.lie is Lie.LIP_FIXED for part in problem.parts),
        bevel_ends={
            (board.board, board.copy): tuple(millimetres(at) for at in bevel_ends_at(problem, board))
            for board in plan.boards
        },
    )


def _triangles(plan: BoardPlan, problem: BoardProblem, say: Voice) -> list[Block]:
    """Which triangles fall out before bars: at the end of a board, between two bars."""
    mitred = {part.name for part in problem.parts if part.is_mitred}
    ends: set[int] = set()
    between: set[int] = set()
    spoiled = {board.name: board.spoiled for board in problem.boards}
    for board in plan.boards:
        before: Cut | None = None
        for cut in board.cuts:
            new_stick = before is None or any(
                before.end <= span.start < cut.start for span in spoiled[board.board]
            )
            if cut.triangle and cut.part in mitred:
                beside_bar = not new_stick and before is not None and before.part in mitred
                (between if beside_bar else ends).add(cut.triangle)
            before = cut
    if not ends and not between:
        return []
    shown = [
        say(f"saw.triangle-{where}", base=", ".join(say.length(millimetres(base)) for base in sorted(bases)))
        for where, bases in (("end", ends), ("between", between))
        if bases
    ]
    return [Paragraph(say("saw.triangles", where="; ".join(shown), unit=say.unit))]


def _unlike_ends(parts: Sequence[Part], say: Voice) -> list[Block]:
    """What the saw does at pieces mitred at one end, and at ends that are joined in length later."""
    once = [
        say(f"saw.once-{part.hand or 'either'}", part=f"{part.mark} ({say.part(part.long_point)})")
        for part in parts
        if part.mitred_once and part.boards == 1
    ]
    blocks: list[Block] = [Paragraph(say("saw.once", parts="; ".join(once)))] if once else []
    glued = ", ".join(part.mark for part in parts if part.boards > 1)
    if glued:
        longer = say.fine(GLUED_LONGER, unit=True)
        blocks.append(Paragraph(say("saw.glued", parts=glued, longer=longer)))
    joined = [part.mark for part in parts if part.joined]
    if joined:
        blocks.append(Paragraph(say("saw.joined", parts=", ".join(joined))))
    return blocks


def _verdict(plan: BoardPlan) -> str:
    return "least" if plan.proven else "within"


def _amount(amount: Fraction, counted_in: str, say: Voice) -> str:
    if counted_in == "m" and say.lengths.system == "in":
        return say.run(1000.0 * float(amount))
    return f"{say.number(float(amount), places=2)} {counted_in}".rstrip()


def _proof(plan: BoardPlan, say: Voice) -> str:
    """What the proof rests on where the certificate alone does not give it."""
    return say(f"saw.rests-on-{plan.proof}", nodes=plan.spent.nodes, listed=plan.spent.enumerated)


def _sorting(plan: BoardPlan, counted_in: str, say: Voice) -> str:
    """What seeking least sorting came to."""
    sorting = plan.sorting
    assert sorting is not None
    more = plan.cost - sorting.cost_before
    words = [say("saw.pickups", count=plan.pickups, before=sorting.before)]
    if more > 0:
        words.append(say("saw.pickups-cost", more=_amount(more, counted_in, say), free=sorting.free))
    else:
        words.append(say("saw.pickups-free"))
    known = "fewest" if sorting.proof else "at-least"
    words.append(say(f"saw.pickups-{known}", least=sorting.at_least))
    return " ".join(words)


def _stops(plan: BoardPlan, problem: BoardProblem, say: Voice) -> list[Block]:
    """Every stop setting in the order of work: what is cut under it, from which boards."""
    numbers = board_numbers(plan)
    rows: list[tuple[str, ...]] = []
    heads: list[tuple[int, str]] = []
    blocks: list[Block] = []
    measured = False
    for turn in saw_rounds(problem, plan):
        if turn.crosscuts:
            cuts = "; ".join(
                say("saw.crosscut", board=numbers[board, copy], at=say.length(millimetres(at)))
                for board, copy, at in turn.crosscuts
            )
            blocks.append(Paragraph(say("saw.crosscuts", cuts=cuts)))
        if turn.before_bevel:
            places: dict[str, list[int]] = {}
            for board, copy, at in turn.before_bevel:
                places.setdefault(say.length(millimetres(at)), []).append(numbers[board, copy])
            cuts = "; ".join(
                say("saw.crosscut" if len(boards) == 1 else "saw.crosscut-many", board=ranges(boards), at=at)
                for at, boards in places.items()
            )
            blocks.append(Paragraph(say("saw.before-bevel", cuts=cuts, unit=say.unit)))
        way = say("saw.longest-first" if turn.longest_first else "saw.shortest-first")
        heads.append((len(rows), f"{say(f'saw.round-{min(turn.number, 3)}')} {way}"))
        for setting in turn.settings:
            measured |= setting.is_measured
            taken: dict[str, list[int]] = {}
            for cut in setting.cuts:
                taken.setdefault(cut.part, []).append(numbers[cut.board, cut.copy])
            where = "; ".join(
                say("saw.from", part=f"{name} × {len(boards)}", boards=ranges(list(dict.fromkeys(boards))))
                for name, boards in taken.items()
            )
            total = say("saw.of", done=setting.done, wanted=setting.wanted)
            kept = say.limit(millimetres(setting.kept)) if setting.kept else ""
            rows.append((say.part(millimetres(setting.stop)), kept, str(len(setting.cuts)), total, where))
    columns = [
        Column(say("saw.stop", unit=say.unit), "end", strong=True),
        Column(say("saw.spare", unit=say.unit), "end"),
        Column(say("saw.count"), "end"),
        Column(say("saw.so-far"), "end"),
        Column(say("saw.parts"), share=1.0),
    ]
    if measured:
        columns.insert(2, Column(say("worksheet.measured", unit=say.unit), blank=22.0))
    else:
        del columns[1]
        rows = [(stop, *others) for stop, _, *others in rows]
    blocks.append(Table(tuple(columns), tuple(rows), tick=True, heads=tuple(heads), close=True))
    if measured:
        blocks.append(Paragraph(say("saw.spare-is"), "small"))
    return blocks
