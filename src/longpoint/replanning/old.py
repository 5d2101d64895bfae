"""A plan read back: the same designs again, with the inside that was chosen then."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from longpoint.choosing.designs import faults_of, settle
from longpoint.choosing.parted import as_planned, with_halves
from longpoint.cutting.boards.values import CutBoard
from longpoint.errors import Fault, FaultsError, Where
from longpoint.frame.design import BarJoin, FrameDesign, Side, even_rails
from longpoint.frame.joins import join_length, plate_size
from longpoint.frame.members import derive_frame
from longpoint.frame.parts import Part, parts_of
from longpoint.model.batch import Batch
from longpoint.model.events import Events
from longpoint.works.brief import Brief, briefs_of
from longpoint.works.designed import Designed
from longpoint.works.stock import Section

SAME = Fraction(2, 1000)
"""Lengths that differ by less are the same: a plan file keeps a tenth of a micrometre. [mm]"""


@dataclass(frozen=True, slots=True)
class OldMember:
    """A member as the plan has it; low and high across its axis. [mm]"""

    name: str
    kind: str
    low: Fraction
    high: Fraction


@dataclass(frozen=True, slots=True)
class OldPart:
    """A part as the plan has it; boards: from how many it is glued. [mm]"""

    mark: str
    kind: str
    how_many: int
    long_point: Fraction
    thickness: Fraction
    depth: Fraction
    boards: int = 1


@dataclass(frozen=True, slots=True)
class OldWork:
    """A work as the plan has it, with its seam and joins where it has any."""

    name: str
    code: str
    how_many: int
    corner: str
    members: tuple[OldMember, ...]
    parts: tuple[OldPart, ...]
    seam: Fraction | None = None
    joins: tuple[BarJoin, ...] = ()


@dataclass(frozen=True, slots=True)
class OldBoard:
    """A board as the plan has it: its name, which of that name, and (part, start in mm) from the left."""

    board: str
    copy: int
    cuts: tuple[tuple[str, Fraction], ...]


@dataclass(frozen=True, slots=True)
class OldSection:
    """The boards of one section as the plan has them."""

    section: str
    boards: tuple[OldBoard, ...]


@dataclass(frozen=True, slots=True)
class OldStage:
    """What happened before the rest was planned, and how it was planned then.

    Attributes:
        events: What happened.
        sections: How the boards of every section were cut from then on, in the order of the plan.
    """

    events: Events
    sections: tuple[tuple[CutBoard, ...], ...]


@dataclass(frozen=True, slots=True)
class OldPlan:
    """What a plan says, as far as cutting goes.

    Attributes:
        batch: What was stated.
        revision: Which state of the batch it shows.
        works: Its works.
        sections: Its boards.
        stages: What happened since, stage by stage.
    """

    batch: Batch
    revision: str
    works: tuple[OldWork, ...]
    sections: tuple[OldSection, ...]
    stages: tuple[OldStage, ...] = ()

    @property
    def apart(self) -> bool:
        """Whether its bars and rails never share boards."""
        return not any(section.section.startswith("bars and rails ") for section in self.sections)


def derived_parts(designed: Designed, work: OldWork) -> tuple[Part, ...]:
    """The parts of a work from its design."""
    frame = derive_frame(designed.design)
    return parts_of(frame, work=work.name, code=work.code, how_many=work.how_many)


def damaged(what: str) -> Fault:
    """A plan that does not agree with itself."""
    return Fault("plan-damaged", f"the plan does not agree with itself: {what}.", "Plan the batch again.")


def old_designs(batch: Batch, works: Sequence[OldWork]) -> tuple[Designed, ...]:
    """The designs of a plan.

    Args:
        batch: Its batch.
        works: Its works, in the order of the batch.

    Returns:
        The designs, exact.

    Raises:
        FaultsError: If the plan's parts are not those of its batch.
    """
    if [work.name for work in works] != [work.name for work in batch.work]:
        raise FaultsError([damaged("its works are not those of its batch")])
    found: list[Designed] = []
    faults: list[Fault] = []
    for brief, work in zip(briefs_of(batch), works, strict=True):
        designed = _old_design(brief, work)
        if designed is None or not _agrees(derived_parts(designed, work), work.parts):
            faults.append(damaged(f"the parts of {work.name} do not follow from its batch"))
        else:
            found.append(designed)
    if faults:
        raise FaultsError(faults)
    return tuple(found)


def same_inside(
    batch: Batch, before: Sequence[Designed], works: Sequence[OldWork]
) -> tuple[tuple[Designed, ...], list[Fault]]:
    """The same designs in timber of another measure.

    Args:
        batch: The batch with its readings.
        before: The designs as planned.
        works: The works.

    Returns:
        The designs, and what stands against them.
    """
    found: list[Designed] = []
    faults: list[Fault] = []
    for stated, designed, work in zip(briefs_of(batch), before, works, strict=True):
        brief = as_planned(stated, designed.design)
        bars = _nominal(designed.bars, _bars(brief))
        rails = designed.rails
        if rails is not None:
            rails = _nominal(rails, _rails(brief, bars))
        old = designed.design
        inside = _Inside(
            old.end_rails,
            old.cross_rails,
            _is_even(old),
            old.middle_pieces,
            old.shift,
            old.corner,
            old.halved,
        )
        design = _design(brief, bars, rails, inside, keep_shift=False)
        design = replace(design, joins=tuple(_joined(design, join) for join in old.joins))
        against = faults_of(brief, design)
        again = replace(designed, design=design, bars=bars, rails=rails)
        faults += against
        if not against and [(p.mark, p.how_many) for p in derived_parts(again, work)] != [
            (p.mark, p.how_many) for p in derived_parts(designed, work)
        ]:
            what = f"{work.name}: in timber of that measure its parts no longer bear the same marks."
            faults.append(
                Fault("marks-change", what, "Plan the batch again with [[arrived]].", Where("timber"))
            )
        found.append(again)
    return tuple(found), faults


@dataclass(frozen=True, slots=True)
class _Inside:
    sides: tuple[Side, ...]
    lines: tuple[Fraction, ...]
    even: bool
    middle: bool
    shift: Fraction
    corner: str
    halved: bool


def _joined(design: FrameDesign, join: BarJoin) -> BarJoin:
    """The same join in timber of another measure, where it was."""
    return replace(join, length=join_length(design, join.kind), plate=plate_size(design, join.kind))


def _is_even(design: FrameDesign) -> bool:
    return _same(design.cross_rails, even_rails(len(design.cross_rails), design=design))


def _same(some: Sequence[Fraction], others: Sequence[Fraction]) -> bool:
    return len(some) == len(others) and all(abs(a - b) <= SAME for a, b in zip(some, others, strict=True))


def _design(
    brief: Brief, bars: Section, rails: Section | None, inside: _Inside, *, keep_shift: bool
) -> FrameDesign:
    base = settle(
        brief, bars=bars, rails=rails, cross_rails=len(inside.lines),
        middle_pieces=inside.middle, end_rails=bool(inside.sides),
    )  # fmt: skip
    design = replace(
        base,
        end_rails=inside.sides,
        middle_pieces=inside.middle,
        corner=inside.corner,  # type: ignore[arg-type]
        halved=inside.halved,
    )
    lines = even_rails(len(inside.lines), design=design) if inside.even else inside.lines
    shift = base.shift
    if keep_shift and abs(shift - inside.shift) > SAME:
        shift = inside.shift
    return replace(design, cross_rails=lines, shift=shift if inside.middle and lines else Fraction(0))


def _old_design(brief: Brief, work: OldWork) -> Designed | None:
    if work.seam is not None:
        brief = with_halves(brief)
    bar = next((part for part in work.parts if part.kind == "bar"), None)
    rail = next((part for part in work.parts if part.kind != "bar"), None)
    if bar is None:
        return None
    for bars in _measuring(bar, _bars(brief)):
        choices: Iterable[Section | None] = [None]
        if rail is not None:
            choices = _measuring(rail, _rails(brief, bars))
        for rails in choices:
            designed = _with_rows(brief, bars, rails, work)
            if _agrees(derived_parts(designed, work), work.parts):
                return designed
    return None


def _bars(brief: Brief) -> tuple[Section, ...]:
    """Every timber that bars may have been planned of, what is stated first, what is bought besides last."""
    plain = (*brief.sections, *brief.stock.sections("bars"), *brief.stock.ordinary("bars"))
    return (*plain, *(section.glued() for section in plain if section.boards == 1))


def _rails(brief: Brief, bars: Section) -> tuple[Section, ...]:
    """The same of rails in these bars."""
    return (
        *brief.rails_in(bars),
        *brief.stock.sections("rails"),
        *brief.stock.ordinary("rails"),
    )


def _with_rows(brief: Brief, bars: Section, rails: Section | None, work: OldWork) -> Designed:
    def centres(kind: str) -> tuple[Fraction, ...]:
        return tuple((m.low + m.high) / 2 for m in work.members if m.kind == kind)

    sides: tuple[Side, ...] = ("left", "right", "bottom", "top")
    lines = centres("cross rail")
    middles = centres("middle piece")
    named = {member.name for member in work.members}
    ends = tuple(side for side in sides if f"{side} end rail" in named)
    shift = middles[1] - middles[0] if len(middles) > 1 else Fraction(0)
    halved = bool(lines) and len(middles) == 1  # one middle line runs through
    inside = _Inside(ends, lines, False, bool(middles), shift, work.corner, halved)
    draft = _design(brief, bars, rails, inside, keep_shift=True)
    exact = brief.inside.cross_rails
    if _is_even(draft):
        inside = replace(inside, even=True)
    elif isinstance(exact, tuple) and _same(exact, lines):
        inside = replace(inside, lines=tuple(exact))
    design = _design(brief, bars, rails, inside, keep_shift=True)
    return Designed(replace(design, joins=work.joins), bars, rails)


def _measuring(part: OldPart, sections: Iterable[Section]) -> list[Section]:
    return [
        section
        for section in sections
        if section.boards == part.boards
        and _same((section.real_thickness, section.real_depth), (part.thickness, part.depth))
    ]


def _nominal(section: Section, choices: Iterable[Section]) -> Section:
    """The same timber among others, by what it is called and not by what it measures."""
    listed = list(choices)
    name = (section.thickness, section.depth, section.wood, section.boards)
    same = [one for one in listed if (one.thickness, one.depth, one.wood, one.boards) == name]
    return (same or ([one for one in listed if one.assumed] if section.assumed else []) or [section])[0]


def _agrees(parts: Sequence[Part], rows: Sequence[OldPart]) -> bool:
    return [(part.mark, str(part.kind), part.how_many) for part in parts] == [
        (row.mark, row.kind, row.how_many) for row in rows
    ] and _same([part.long_point for part in parts], [row.long_point for row in rows])
