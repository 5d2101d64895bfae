"""After something went wrong at the bench: the rest of a plan, with the least new timber."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from longpoint.cutting.accept import clear_sticks
from longpoint.cutting.faults import nearest_word
from longpoint.cutting.placing import place_on_stick
from longpoint.cutting.replan import Replanned, replan_boards
from longpoint.cutting.replan_facts import (
    CutSoFar,
    Happened,
    LostSpan,
    MeasuredPart,
    ShortBy,
    SpoiledPart,
    no_such_part,
)
from longpoint.cutting.values import Board, BoardPlan, BoardProblem, Certificate, Cut, CutBoard, nanometres
from longpoint.drawing.saw_pages import board_numbers
from longpoint.errors import Caution, Fault, FaultsError, Where, gathered
from longpoint.frame.parts import Part
from longpoint.jobs.boards import Say, SectionCut, board_plans
from longpoint.jobs.designs import Designed
from longpoint.jobs.replan_old import OldBoard, OldPlan, damaged, derived_parts, old_designs, same_inside
from longpoint.model.batch import Batch
from longpoint.model.events import Events, OnBoard
from longpoint.model.timber import Arrived
from longpoint.units import QuantityError, parse_length

FAR_OFF = 10_000_000
"""A measure further from the plan than this is worth a second look. [nm] Estimate."""

FURTHEST_OFF_SECTION = Fraction(15, 100)
"""Timber further from its name than this, and by more than 3 mm, is other timber. Estimate."""


@dataclass(frozen=True, slots=True)
class SectionReplan:
    """One section, planned again.

    Attributes:
        cut: The section as it was planned.
        again: What is left; None where nothing is.
        touched: Whether anything happened to it.
    """

    cut: SectionCut
    again: Replanned | None
    touched: bool


@dataclass(frozen=True, slots=True)
class Replan:
    """The rest of a plan.

    Attributes:
        batch: The batch, with what its timber measures.
        revision: Of the plan that it continues.
        sections: In the order of the plan.
        parts: Every part as it is to be made now.
        longer: Parts whose length follows the timber: mark, length before and now. [mm]
        cautions: What a person should know.
    """

    batch: Batch
    revision: str
    sections: tuple[SectionReplan, ...]
    parts: tuple[Part, ...]
    longer: tuple[tuple[str, float, float], ...]
    cautions: tuple[Caution, ...]


def replan_after(old: OldPlan, events: Events, *, say: Say = lambda _text: None) -> Replan:
    """Plans the rest after something went wrong; nothing already cut is moved.

    Args:
        old: What the plan says.
        events: What has been cut and what happened.
        say: Told what is being done.

    Returns:
        The rest.

    Raises:
        FaultsError: With everything in which plan and events do not go together.
    """
    say("Reading the plan")
    before = old_designs(old.batch, old.works)
    sections = _old_sections(old, before)
    faults: list[Fault] = []
    batch = _with_readings(old.batch, events, faults)
    happened, errors = _by_section(old.batch, sections, events)
    faults += errors
    now, parts, problems = before, _all_parts(before, old), [section.problem for section in sections]
    if events.timber and not faults:
        now, errors = same_inside(batch, before, old.works)
        faults += errors
        if not faults:
            parts = _all_parts(now, old)
            problems = [section.problem for section in _problems(batch, now, old, sections)]
    found: list[SectionReplan] = []
    taken: dict[str, int] = {}
    for section, problem, what in zip(sections, problems, happened, strict=True):
        say(f"Cutting the rest of {problem.section}")
        wanted = replace(problem, boards=tuple(_fewer(board, taken) for board in problem.boards))
        try:
            again = replan_boards(wanted, section.plan, what, before=section.problem)
        except FaultsError as error:
            faults += error.faults
            continue
        for board in again.to_take if again is not None else ():
            taken[board.board] = taken.get(board.board, 0) + board.at_hand
        touched = what != Happened(only_named=what.only_named) or problem != section.problem
        found.append(SectionReplan(section, again, touched))
    if faults:
        raise FaultsError(dict.fromkeys(faults))
    return Replan(
        batch, old.revision, tuple(found), parts, _longer(before, now, old), _cautions(found, happened, batch)
    )


def _all_parts(designs: Sequence[Designed], old: OldPlan) -> tuple[Part, ...]:
    return tuple(
        part
        for designed, work in zip(designs, old.works, strict=True)
        for part in derived_parts(designed, work)
    )


def _problems(
    batch: Batch, designs: Sequence[Designed], old: OldPlan, sections: Sequence[SectionCut]
) -> tuple[SectionCut, ...]:
    """The problems of a batch whose answers are known already, in the same order."""
    answers = iter(section.plan for section in sections)
    works = [
        (designed, derived_parts(designed, work)) for designed, work in zip(designs, old.works, strict=True)
    ]
    return board_plans(batch, works, solve=lambda _problem: next(answers))


def _old_sections(old: OldPlan, designs: Sequence[Designed]) -> tuple[SectionCut, ...]:
    """The sections as they were planned, every cut exactly where it was."""
    rows = iter(old.sections)

    def answer(problem: BoardProblem) -> BoardPlan:
        row = next(rows, None)
        if row is None or row.section != problem.section:
            raise FaultsError([damaged(f"the boards of {problem.section} are missing")])
        boards = {board.name for board in problem.boards}
        parts = {part.name for part in problem.parts}
        strange = {board.board for board in row.boards} - boards
        strange |= {part for board in row.boards for part, _ in board.cuts} - parts
        if strange:
            raise FaultsError([damaged(f"{word} is not of its batch") for word in sorted(strange)])
        cut_boards = tuple(_exact(board, problem) for board in row.boards)
        cost = sum((board.cost for board in cut_boards), Fraction(0))
        return BoardPlan(
            problem.section,
            cut_boards,
            cost,
            Fraction(0),
            cost == 0,
            "",
            Fraction(0),
            Certificate(Fraction(1), ()),
        )

    works = [
        (designed, derived_parts(designed, work)) for designed, work in zip(designs, old.works, strict=True)
    ]
    return board_plans(old.batch, works, solve=answer)


def _exact(row: OldBoard, problem: BoardProblem) -> CutBoard:
    """A board with its cuts laid again, since a file keeps fewer figures than the saw list was made with."""
    board = next(board for board in problem.boards if board.name == row.board)
    named = {part.name: part for part in problem.parts}
    cuts: list[Cut] = []
    for stick in clear_sticks(board, problem.shop):
        mine = [
            named[part]
            for part, start in row.cuts
            if stick.start - 1000 <= nanometres(start) < stick.start + stick.length
        ]
        cuts += place_on_stick(mine, stick, problem.shop).cuts
    rounded = [nanometres(start) for _, start in row.cuts]
    if len(cuts) != len(rounded) or any(
        abs(cut.start - start) > 2000 for cut, start in zip(cuts, rounded, strict=True)
    ):
        raise FaultsError([damaged(f"the cuts of board {row.board} no. {row.copy} do not lie side by side")])
    return CutBoard(row.board, row.copy, board.length, Fraction(board.cost), board.at_hand, tuple(cuts), 0)


def _with_readings(batch: Batch, events: Events, faults: list[Fault]) -> Batch:
    """The batch with what its timber measures."""
    arrived = {item.timber: item for item in batch.arrived}
    sides = {item.name: (item.thickness, item.depth) for item in batch.yard}
    sides |= {item.name: (item.thickness, item.depth) for item in batch.rack}
    for index, came in enumerate(events.timber):
        if came.name not in sides:
            near = nearest_word(came.name, sorted(sides))
            remedy = (
                f"Did you mean {near}?" if near else f"It has {', '.join(sorted(sides)) or 'none stated'}."
            )
            what = f"the batch has no timber {came.name}."
            faults.append(Fault("no-such-timber", what, remedy, Where(f"timber[{index + 1}].name")))
            continue
        known = arrived.get(came.name)
        thickness = came.thickness or (known.thickness if known else (sides[came.name][0],))
        depth = came.depth or (known.depth if known else (sides[came.name][1],))
        for word, named, readings in (
            ("thickness", sides[came.name][0], thickness),
            ("depth", sides[came.name][1], depth),
        ):
            mean = sum(readings, Fraction(0)) / len(readings)
            if abs(mean - named) > max(named * FURTHEST_OFF_SECTION, Fraction(3)):
                what = f"{came.name} is named {float(named):g} mm and said to measure {float(mean):.4g} mm of {word}."
                key = f"timber[{index + 1}].{word}"
                faults.append(
                    Fault("timber-far-off", what, "Measure again; other timber needs a new plan.", Where(key))
                )
        arrived[came.name] = Arrived.model_construct(timber=came.name, thickness=thickness, depth=depth)
    return batch.model_copy(update={"arrived": tuple(arrived.values())})


def _by_section(
    batch: Batch, sections: Sequence[SectionCut], events: Events
) -> tuple[list[Happened], list[Fault]]:
    """What happened, section by section, with everything that no section knows."""
    faults: list[Fault] = []
    found: list[dict[str, list[object]]] = [
        {"cut": [], "spoiled": [], "lost": [], "short": [], "measured": []} for _ in sections
    ]

    def board(event: OnBoard, key: str) -> tuple[int, str, int] | None:
        return _board_of(event, key, batch, sections, events, faults)

    for index, cut in enumerate(events.cut):
        key = f"cut[{index + 1}]"
        if (at := board(cut, key)) is not None:
            found[at[0]]["cut"].append(CutSoFar(board=at[1], copy=at[2], count=cut.cuts, key=key))
    for index, split in enumerate(events.split):
        key = f"split[{index + 1}]"
        if (at := board(split, key)) is not None:
            end = None if split.to is None else nanometres(split.to)
            start = nanometres(split.at, round_up=False)
            lost = LostSpan(board=at[1], copy=at[2], start=start, end=end, why=split.why, key=key)
            found[at[0]]["lost"].append(lost)
    for index, short in enumerate(events.short):
        key = f"short[{index + 1}]"
        if (at := board(short, key)) is not None:
            by = nanometres(short.by)
            found[at[0]]["short"].append(ShortBy(board=at[1], copy=at[2], by=by, key=key))
    home = {part.name: at for at, section in enumerate(sections) for part in section.problem.parts}
    for index, spoiled in enumerate(events.spoiled):
        key = f"spoiled[{index + 1}]"
        if spoiled.part in home:
            event = SpoiledPart(part=spoiled.part, how_many=spoiled.how_many, key=key)
            found[home[spoiled.part]]["spoiled"].append(event)
        else:
            faults.append(no_such_part(spoiled.part, sorted(home), f"{key}.part"))
    for index, measured in enumerate(events.measured):
        key = f"measured[{index + 1}]"
        if measured.part in home:
            length = nanometres(measured.length)
            piece = MeasuredPart(part=measured.part, length=length, how_many=measured.how_many, key=key)
            found[home[measured.part]]["measured"].append(piece)
        else:
            faults.append(no_such_part(measured.part, sorted(home), f"{key}.part"))
    only = events.bought == "named"
    return [
        Happened(only_named=only, **{word: tuple(items) for word, items in one.items()})  # type: ignore[arg-type]
        for one in found
    ], faults


def _board_of(
    event: OnBoard,
    key: str,
    batch: Batch,
    sections: Sequence[SectionCut],
    events: Events,
    faults: list[Fault],
) -> tuple[int, str, int] | None:
    """The section and the name of a board that a person names by its name or its length."""
    if not event.board:
        return _board_by_number(event, key, sections, faults)
    names = {(at, board.board) for at, section in enumerate(sections) for board in section.plan.boards}
    hits = {(at, name) for at, name in names if name == event.board}
    if not hits:
        try:
            length = nanometres(parse_length(event.board, unit=events.unit or batch.unit))
        except QuantityError:
            length = -1
        hits = {
            (at, board.board)
            for at, section in enumerate(sections)
            for board in section.plan.boards
            if not board.at_hand and abs(board.length - length) < 500_000
        }
    if event.section:
        chosen = {
            (at, name)
            for at, name in hits
            if event.section in (sections[at].use, sections[at].problem.section)
        }
        if hits and not chosen:
            known = sorted(
                {word for at, _ in hits for word in (sections[at].use, sections[at].problem.section)}
            )
            what = f"{event.section} has no board {event.board}."
            faults.append(
                Fault("no-such-section", what, f"Use one of: {', '.join(known)}.", Where(f"{key}.section"))
            )
            return None
        hits = chosen
    if len(hits) > 1:
        words = sorted({sections[at].use for at, _ in hits})
        if len(words) < len(hits):
            words = sorted({sections[at].problem.section for at, _ in hits})
        what = f"board {event.board} stands in the plan for {' and for '.join(words)}."
        remedy = "Add section = " + " or ".join(f'"{word}"' for word in words) + "."
        faults.append(Fault("which-board", what, remedy, Where(f"{key}.board")))
        return None
    if not hits:
        listed = sorted({name for _, name in names})
        near = nearest_word(event.board, listed)
        remedy = f"Did you mean {near}?" if near else f"The plan has {', '.join(listed)}."
        what = f"the plan cuts no board {event.board}."
        faults.append(Fault("no-such-board", what, remedy, Where(f"{key}.board")))
        return None
    at, name = next(iter(hits))
    return at, name, event.number


def _board_by_number(
    event: OnBoard, key: str, sections: Sequence[SectionCut], faults: list[Fault]
) -> tuple[int, str, int] | None:
    """A board by the number that stands beside it on the saw pages of its section."""
    words = sorted({word for section in sections for word in (section.use, section.problem.section)})
    mine = [at for at, s in enumerate(sections) if event.section in (s.use, s.problem.section)]
    if len(mine) != 1:
        what = f"board number {event.number} is named without {'one' if event.section else 'a'} section."
        remedy = f"Add board, or section as one of: {', '.join(words)}."
        faults.append(Fault("which-board", what, remedy, Where(key)))
        return None
    plan = sections[mine[0]].plan
    for (name, copy), number in board_numbers(plan).items():
        if number == event.number:
            return mine[0], name, copy
    what = f"the saw pages of {plan.section} have {len(plan.boards)} boards, no number {event.number}."
    faults.append(Fault("no-such-board", what, "Read the number beside the board.", Where(key)))
    return None


def _fewer(board: Board, taken: dict[str, int]) -> Board:
    if board.how_many is None:
        return board
    return replace(board, how_many=max(0, board.how_many - taken.get(board.name, 0)))


def _longer(
    before: Sequence[Designed], now: Sequence[Designed], old: OldPlan
) -> tuple[tuple[str, float, float], ...]:
    then = {part.mark: part.long_point for part in _all_parts(before, old)}
    return tuple(
        (part.mark, float(then[part.mark]), float(part.long_point))
        for part in _all_parts(now, old)
        if part.long_point != then[part.mark]
    )


def _cautions(
    found: Sequence[SectionReplan], happened: Sequence[Happened], batch: Batch
) -> tuple[Caution, ...]:
    cautions: list[Caution] = []
    show = batch.style.finer().show
    for section, what in zip(found, happened, strict=True):
        named = {part.name: part for part in section.cut.problem.parts}
        for piece in what.measured:
            off = piece.length - named[piece.part].length
            if abs(off) > FAR_OFF:
                text = (
                    f"It measures {show(Fraction(abs(off), 10**6))} {'more' if off > 0 else 'less'} than planned: "
                    "measure the frame again, both diagonals too, before this piece is cut."
                )
                cautions.append(Caution("measured-off", text, piece.part))
        if section.again is not None:
            cautions += section.again.plan.cautions
            if what.lost:
                text = (
                    "A split runs further than it shows: crosscut a little before the mark, look at the fresh end, "
                    "and go on until it is clean."
                )
                cautions.append(Caution("split-runs-on", text, section.cut.problem.section))
    return gathered(cautions)
