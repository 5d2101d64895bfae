"""A file of events told to the cutting room: which board is meant, which section, what the timber measures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from longpoint.cutting.boards.faults import nearest_word
from longpoint.cutting.boards.numbering import board_numbers
from longpoint.cutting.boards.values import BoardPlan, nanometres
from longpoint.cutting.remainder.bench import Bench
from longpoint.cutting.remainder.events import (
    CutSoFar,
    Happened,
    LostSpan,
    MeasuredPart,
    ShortBy,
    SpoiledPart,
)
from longpoint.cutting.remainder.pieces import no_such_part
from longpoint.errors import Fault, Where
from longpoint.model.batch import Batch
from longpoint.model.events import Events, OnBoard
from longpoint.model.timber import Arrived
from longpoint.units import QuantityError, parse_length
from longpoint.works.ordinary import ordinary_timber, region_of

FURTHEST_OFF_SECTION = Fraction(15, 100)
"""Timber further from its name than this, and by more than 3 mm, is other timber. Estimate."""


@dataclass(frozen=True, slots=True)
class InHand:
    """One section as the person has it in hand.

    Attributes:
        use: "bars" or "rails".
        bench: What lies on the bench.
        plan: What the saw pages in hand show.
    """

    use: str
    bench: Bench
    plan: BoardPlan

    @property
    def words(self) -> tuple[str, str]:
        """What the section may be called."""
        return self.use, self.plan.section


def with_readings(batch: Batch, events: Events, faults: list[Fault]) -> Batch:
    """The batch with what its timber measures.

    Args:
        batch: The batch.
        events: What happened.
        faults: What cannot be is added.
    """
    arrived = {item.timber: item for item in batch.arrived}
    stated = {item.name: (item.thickness, item.depth) for item in batch.yard}
    stated |= {item.name: (item.thickness, item.depth) for item in batch.rack}
    # what an ordinary shop has may have been bought besides
    sides = {item.name: (item.thickness, item.depth) for item in ordinary_timber(region_of(batch))} | stated
    for index, came in enumerate(events.timber):
        if came.name not in sides:
            near = nearest_word(came.name, sorted(sides))
            remedy = (
                f"Did you mean {near}?" if near else f"It has {', '.join(sorted(stated)) or 'none stated'}."
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


def by_section(
    batch: Batch, sections: Sequence[InHand], events: Events, faults: list[Fault]
) -> list[Happened]:
    """What happened, section by section.

    Args:
        batch: The batch, for its unit.
        sections: What is in hand.
        events: What happened.
        faults: Everything that no section knows is added.
    """
    found: list[dict[str, list[object]]] = [
        {"cut": [], "spoiled": [], "lost": [], "short": [], "measured": []} for _ in sections
    ]
    unit = events.unit or batch.unit

    def board(event: OnBoard, key: str) -> tuple[int, str, int] | None:
        if not event.board:
            return _board_by_number(event, key, sections, faults)
        return _board_by_name(event, key, unit, sections, faults)

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
    home = {piece.name: at for at, section in enumerate(sections) for piece in section.bench.pieces}
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
    ]


def _board_by_name(
    event: OnBoard, key: str, unit: str, sections: Sequence[InHand], faults: list[Fault]
) -> tuple[int, str, int] | None:
    """The section and the name of a board that a person names by its name, its length or "3600 no. 2"."""
    whole = {
        (at, board.name): board.key
        for at, section in enumerate(sections)
        for board in section.bench.boards.values()
    }
    numbered = {at: key for (at, name), key in whole.items() if name == event.board}
    if (
        numbered
        and "number" in event.model_fields_set
        and event.number not in {n for _, n in numbered.values()}
    ):
        what = f"board {event.board} bears its number in its name, and number = {event.number} is said."
        faults.append(Fault("which-board", what, "Take number away.", Where(f"{key}.number")))
        return None
    hits = {(at, name) for at, (name, _) in numbered.items()}
    hits = hits or _named(event.board, unit, sections)
    if event.section:
        chosen = {(at, name) for at, name in hits if event.section in sections[at].words}
        if hits and not chosen:
            known = sorted({word for at, _ in hits for word in sections[at].words})
            what = f"{event.section} has no board {event.board}."
            faults.append(
                Fault("no-such-section", what, f"Use one of: {', '.join(known)}.", Where(f"{key}.section"))
            )
            return None
        hits = chosen
    if len(hits) > 1:
        words = sorted({sections[at].use for at, _ in hits})
        if len(words) < len(hits):
            words = sorted({sections[at].plan.section for at, _ in hits})
        what = f"board {event.board} stands in the plan for {' and for '.join(words)}."
        remedy = "Add section = " + " or ".join(f'"{word}"' for word in words) + "."
        faults.append(Fault("which-board", what, remedy, Where(f"{key}.board")))
        return None
    if not hits:
        listed = sorted({board for section in sections for board, _ in section.bench.boards})
        near = nearest_word(event.board, listed)
        remedy = f"Did you mean {near}?" if near else f"The plan has {', '.join(listed)}."
        what = f"the plan cuts no board {event.board}."
        faults.append(Fault("no-such-board", what, remedy, Where(f"{key}.board")))
        return None
    at, name = next(iter(hits))
    return at, name, numbered[at][1] if at in numbered else event.number


def _named(word: str, unit: str, sections: Sequence[InHand]) -> set[tuple[int, str]]:
    """Sections and boards of a name; where none bears it, boards on sale of that length."""
    listed = [(at, board) for at, section in enumerate(sections) for board in section.bench.boards.values()]
    hits = {(at, board.board) for at, board in listed if board.board == word}
    if hits:
        return hits
    try:
        length = nanometres(parse_length(word, unit=unit))
    except QuantityError:
        return set()
    return {
        (at, board.board)
        for at, board in listed
        if not board.timber.at_hand and abs(board.timber.length - length) < 500_000
    }


def _board_by_number(
    event: OnBoard, key: str, sections: Sequence[InHand], faults: list[Fault]
) -> tuple[int, str, int] | None:
    """A board by the number that stands beside it on the saw pages of its section."""
    words = sorted({word for section in sections for word in section.words})
    mine = [at for at, section in enumerate(sections) if event.section in section.words]
    if len(mine) != 1:
        what = f"board number {event.number} is named without {'one' if event.section else 'a'} section."
        remedy = f"Add board, or section as one of: {', '.join(words)}."
        faults.append(Fault("which-board", what, remedy, Where(key)))
        return None
    section = sections[mine[0]]
    numbers: Mapping[tuple[str, int], int] = board_numbers(section.plan)
    for cut_board in section.plan.boards:
        if numbers[cut_board.board, cut_board.copy] == event.number:
            return mine[0], *section.bench.board_on_page(cut_board).key
    count = len(section.plan.boards)
    what = f"the saw pages of {section.plan.section} have {count} boards, no number {event.number}."
    faults.append(Fault("no-such-board", what, "Read the number beside the board.", Where(key)))
    return None
