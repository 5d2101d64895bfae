"""The sheet of one work: everything that is cut, bored, built, checked and stapled with this frame's own figures.

It is pinned up at the bench and read at arm's length; how each step is done stands on the cards that all works share.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from longpoint.drawing.paper.pages import (
    Beside,
    Block,
    Column,
    Drawing,
    Heading,
    Page,
    Paper,
    Paragraph,
    Step,
    Steps,
    Table,
)
from longpoint.drawing.sheets.build_lines import build_lines
from longpoint.drawing.sheets.canvas_sheet import CanvasSheet
from longpoint.drawing.sheets.staple_pages import pull_weights
from longpoint.drawing.views.joined_rods import holes_of_pieces, joined_blocks
from longpoint.drawing.views.rods import FACES, bored_alike
from longpoint.drawing.views.section import brief_section_view
from longpoint.drawing.views.work import work_view
from longpoint.drawing.words.members import kind_words, members_words, side_words
from longpoint.drawing.words.own_words import hardware_words, screw_size
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Frame, Part
from longpoint.frame.design import Side
from longpoint.joinery import BuildPlan, HoleMark
from longpoint.stretching.piece import Fastening
from longpoint.stretching.staple_map import Run, StapleMap, StapleUse
from longpoint.tables import limit

Status = Literal["holds", "holds-unless", "holds-not", "by-rule"]

MOST_COPIES = 2
"""So many copies have their blanks on the work's sheet; more have a check card with a column for each."""

_FIRST_RUNS = 4

_SIDES: tuple[Side, ...] = ("left", "right", "bottom", "top")


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkAnswer:
    """Whether a work holds, in one line.

    Attributes:
        status: The word for it.
        line: The line.
        string: With the canvas on: where a bar is pulled in most, how far, and its limit [mm]; None if not computed.
        wind: Most wind. [mm]
    """

    status: Status
    line: str
    string: tuple[str, float, float] | None = None
    wind: float = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkSheet:
    """What the sheet of one work needs.

    Attributes:
        code: Letters that begin its marks.
        name: Of the work.
        how_many: How many are made, those of works with an equal frame among them.
        copies: What each of them is called; () where there is one only.
        frame: Its frame.
        parts: Its parts.
        build: How its frame goes together.
        canvas: How its canvas goes on.
        answer: Whether it holds.
        mass: Of one finished work. [kg]
        notes: What the user wrote.
        in_set: Name of the set it hangs in.
        alike: Other works with an equal frame: (name, letters of its marks).
        before: Names of the pages that its parts and cloth come from.
        after: Names of the pages that follow it in the work.
    """

    code: str
    name: str
    how_many: int
    frame: Frame
    parts: tuple[Part, ...]
    build: BuildPlan
    canvas: CanvasSheet
    answer: WorkAnswer
    mass: float = 0.0
    notes: str = ""
    in_set: str = ""
    alike: tuple[tuple[str, str], ...] = ()
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    copies: tuple[str, ...] = ()

    @property
    def about(self) -> tuple[str, ...]:
        """The names of all works the sheet is for."""
        return (self.name, *(name for name, _ in self.alike))

    @property
    def holes(self) -> dict[str, list[HoleMark]]:
        """Its holes by member."""
        found: dict[str, list[HoleMark]] = {}
        for hole in self.build.holes:
            found.setdefault(hole.member, []).append(hole)
        return found


def work_pages(work: WorkSheet, *, say: Voice, paper: Paper, more: float = 0.0) -> tuple[Page, ...]:
    """The sheet of a work, and a second one where bars are joined in length.

    Args:
        work: The work.
        say: How the sheet speaks.
        paper: The sheet.
        more: So much higher the drawings are than where room is short. [mm]
    """
    pages = [_sheet(work, say=say, paper=paper, more=more)]
    rods = joined_blocks(work.frame, work.parts, work.holes, say=say, width=paper.room[0])
    if rods:
        pages.append(
            Page(
                "set-out",
                say("section-name.frame"),
                say("work-sheet.set-out", name=_title(work, say)),
                (Paragraph(say("rod.how"), "small"), *rods),
                about=work.about,
                lead=say("work-sheet.set-out-lead"),
                listed=False,
                contents=say("work-sheet.set-out", name=work.code),
                name=f"set-out-{work.code}",
                before=(f"work-{work.code}",),
                after=work.after,
                flows=True,
            )
        )
    return tuple(pages)


def _title(work: WorkSheet, say: Voice) -> str:
    return say("work-sheet.title", code=work.code, name=work.name)


_MOST_DRAWN = 0.36
"""Most of a sheet's height that the drawings take."""


def _sheet(work: WorkSheet, *, say: Voice, paper: Paper, more: float) -> Page:
    design = work.frame.design
    width, height = paper.room
    level = {(member.low, member.high) for member in work.frame.members if member.axis == "x"}
    least = max(0.17 * height, 16.0 + 7.0 * len(level))
    high = min(least + more, max(_MOST_DRAWN * height, least))
    section = brief_section_view(
        work.frame, say=say, room=(width * 0.4, high - 6.0), turnover=work.canvas.piece.turnover
    )
    view = work_view(work.frame, work.parts, say=say, room=(width - section.width - 9.0, high))
    checks: tuple[Block, ...] = (Paragraph(say("work-sheet.on-card", count=work.how_many), "small"),)
    if work.how_many <= MOST_COPIES:
        checks = (check_table(work, say),)
    left: tuple[Block, ...] = (
        Heading(say("work-sheet.build"), 2),
        Steps(tuple(Step(line) for line in build_lines(work.build, say=say)), close=True),
    )
    right: tuple[Block, ...] = (
        *_screws(work.build, say),
        Heading(say("work-sheet.checks", unit=say.unit), 2),
        *checks,
    )
    blocks: tuple[Block, ...] = (
        Paragraph(work.answer.line, "small"),
        *_told(work, say),
        Beside(
            ((Drawing(view),), (Drawing(section),)),
            shares=(width - 8.0 - section.width, section.width),
        ),
        _parts(work, say),
        Beside((left, right), shares=(1.0, 1.05) if _numbered(work.build) else (1.12, 1.0)),
        Paragraph(_cloth_words(work.canvas, say), "small"),
    )
    return Page(
        "work",
        say("section-name.frame"),
        _title(work, say),
        blocks,
        about=work.about,
        stamp=say(f"work-sheet.{work.answer.status}"),
        lead=_lead(work, say),
        name=f"work-{work.code}",
        before=work.before,
        after=(f"set-out-{work.code}",) if design.joins else work.after,
        contents=_title(work, say),
        alone=True,
    )


def _numbered(build: BuildPlan) -> bool:
    """Whether screws are named by number and inches, which takes more room than millimetres do."""
    return any("No." in count.screw.name for count in build.screws)


def _lead(work: WorkSheet, say: Voice) -> str:
    design = work.frame.design
    bits = [f"**{say.face(design.width, design.height)}**", say("work-sheet.copies", count=work.how_many)]
    if work.mass:
        bits.append(say("work-sheet.mass", mass=say.mass(work.mass, unit=True)))
    bits.append(say(f"corner.{design.corner.replace(' ', '-')}"))
    if work.in_set:
        bits.append(say("worksheet.in-set", name=work.in_set))
    return " · ".join(bits)


def _told(work: WorkSheet, say: Voice) -> tuple[Block, ...]:
    """What the user wrote, and which other works share the frame."""
    lines = [f"**{say('work-sheet.notes')}:** {work.notes}"] if work.notes else []
    if work.alike:
        names = ", ".join(f"{name} ({letters})" for name, letters in work.alike)
        lines.append(say("work-sheet.also", names=names))
    return (Paragraph(" ".join(lines), "small"),) if lines else ()


def _parts(work: WorkSheet, say: Voice) -> Table:
    """Every part with its lengths, its holes, and a blank for the measure taken."""
    holes = holes_of_pieces(work.frame, work.holes)
    rows = []
    for part in work.parts:
        for names, own in bored_alike(part, holes):
            mitred = part.short_point != part.long_point
            rows.append(
                (
                    part.mark,
                    _part_words(names, part, say),
                    str(part.per_work * len(names) // len(part.members)),
                    say.part(part.long_point),
                    say.part(part.short_point) if mitred else "–",
                    hole_words(own, say),
                )
            )
    return Table(
        (
            Column(say("work-sheet.mark"), strong=True),
            Column(say("work-sheet.part", unit=say.unit)),
            Column(say("work-sheet.count"), "end"),
            Column(say("work-sheet.long"), "end", strong=True),
            Column(say("work-sheet.short"), "end"),
            Column(say("work-sheet.holes"), share=1.0),
            Column(say("work-sheet.found"), blank=15.0),
        ),
        tuple(rows),
        close=True,
    )


def _part_words(names: Sequence[str], part: Part, say: Voice) -> str:
    """Bars by their sides, rails by their kind and numbers."""
    sides = [name.split(" ", 1)[0] for name in names]
    if part.joined or any(side not in _SIDES for side in sides):
        return members_words(names, part.kind, say)
    joined = ", ".join(say(f"side.{side}") for side in sides)
    return say("work-sheet.sided", kind=kind_words(part.kind, say), sides=joined)


def hole_words(holes: Sequence[HoleMark], say: Voice) -> str:
    """Where the holes of a part lie: from the reference end, and how high above the back edge."""
    found: dict[tuple[str, Fraction], dict[Fraction, list[Fraction]]] = {}
    for hole in sorted(holes, key=lambda each: (FACES.index(each.face), -each.from_back, each.at)):
        rows = found.setdefault((hole.face, hole.diameter), {})
        row = rows.setdefault(hole.from_back, [])
        if hole.at not in row:
            row.append(hole.at)
    said = []
    for (face, diameter), rows in found.items():
        places = "; ".join(
            say(
                "work-sheet.hole-row",
                at=", ".join(say.place(at) for at in at_all),
                back=say.place(back),
            )
            for back, at_all in rows.items()
        )
        said.append(
            say(
                "work-sheet.hole",
                diameter=say.fine(diameter),
                side=say(f"face-short.{face.replace(' ', '-')}"),
                places=places,
            )
        )
    return " · ".join(said)


def _screws(build: BuildPlan, say: Voice) -> tuple[Block, ...]:
    """Screws with their holes, one line for each depth of pilot; nothing where a frame has none."""
    counts: dict[tuple[str, Fraction, Fraction, Fraction, Fraction, Fraction], list[str]] = {}
    for joint in build.joints:
        for fixing in joint.fixings:
            holes = fixing.clearance_hole, fixing.pilot_hole, fixing.pilot_depth
            wide = fixing.countersink if fixing.bored else Fraction(0)
            counts.setdefault((fixing.screw.name, *holes, wide, fixing.bored), []).append(joint.kind.value)
    rows = [
        (
            screw_size(name, say),
            str(len(kinds)),
            say.fine(clearance),
            f"{say.fine(pilot)} × {say.place(depth)}" if depth else say.fine(pilot),
            ", ".join(say(f"joint-short.{kind.replace(' ', '-')}") for kind in dict.fromkeys(kinds))
            + (say("work-sheet.bored", wide=say.fine(wide), deep=say.place(deep)) if deep else ""),
        )
        for (name, clearance, pilot, depth, wide, deep), kinds in sorted(counts.items())
    ]
    rows += [(hardware_words(line, say), str(line.count), "", "", "") for line in build.hardware]
    if not rows:
        return ()
    table = Table(
        (
            Column(say("work-sheet.screw"), strong=True),
            Column(say("work-sheet.count"), "end"),
            Column(say("work-sheet.bit"), "end"),
            Column(say("work-sheet.pilot"), "end"),
            Column(say("work-sheet.where"), share=1.0),
        ),
        tuple(rows),
        close=True,
    )
    return Heading(say("work-sheet.screws", unit=say.unit), 2), table


def check_rows(work: WorkSheet, say: Voice) -> tuple[tuple[str, str, str], ...]:
    """What is checked on every frame: what, as planned, and its limit."""
    design = work.frame.design
    diagonal = say.length(math.hypot(float(design.width), float(design.height)))
    square = say("work-sheet.diagonals-within", limit=say.limit(limit("out of square").value))
    bow = max(limit("board bow").value * (float(design.length) / 2000.0) ** 2, 1.0)
    most = say("work-sheet.at-most", limit=say.limit(bow))
    rows = [
        (say("work-sheet.diagonal-1"), diagonal, square),
        (say("work-sheet.diagonal-2"), diagonal, square),
        (say("work-sheet.wind"), "0", say("work-sheet.at-most", limit=say.limit(work.answer.wind))),
        *(
            (say("work-sheet.string-at", sides=" · ".join(side_words(side, say) for side in pair)), "0", most)
            for pair in (_SIDES[:2], _SIDES[2:])
        ),
    ]
    if work.answer.string is not None:
        place, expected, allowed = work.answer.string
        rows.append(
            (
                say("work-sheet.string-on", place=place),
                say.fine(expected),
                say("work-sheet.at-most", limit=say.limit(allowed)),
            )
        )
    return tuple(rows)


def check_table(work: WorkSheet, say: Voice, *, copies: Sequence[str] = (), wide: float = 0.0) -> Table:
    """The checks of a frame with a blank for every copy.

    Args:
        work: The work.
        say: How the sheet speaks.
        copies: What the copies are called; all if not given.
        wide: Width of a blank; as wide as a work's sheet allows if not given. [mm]
    """
    heads = copies or work.copies or (say("work-sheet.found"),)
    blank = wide or 14.0
    rows = check_rows(work, say)
    if wide:
        cut = tuple(
            (say("card.check-part", mark=part.mark), say.part(part.long_point), "")
            for part in work.parts
            if part.measured
        )
        rows = (*cut, *rows)
    return Table(
        (
            Column(say("work-sheet.check"), share=1.0),
            Column(say("work-sheet.planned"), "end", strong=True),
            Column(say("work-sheet.limit"), "end"),
            *(Column(head, blank=blank) for head in heads),
        ),
        rows,
        close=not wide,
    )


_COLUMNS = 12
"""Copies beside one another on a check card."""


def check_page(work: WorkSheet, *, say: Voice) -> Page:
    """The check card of a work that is made many times: a column for every copy.

    Args:
        work: The work.
        say: How the sheet speaks.
    """
    tables: list[Block] = []
    for first in range(0, work.how_many, _COLUMNS):
        copies = work.copies[first : first + _COLUMNS]
        tables.append(check_table(work, say, copies=copies, wide=9.0 if len(copies) > 6 else 14.0))
    return Page(
        "check",
        say("section-name.checks"),
        say("card.check", name=_title(work, say)),
        tuple(tables),
        about=work.about,
        lead=say("card.check-lead"),
        name=f"check-{work.code}",
        before=(f"work-{work.code}",),
        after=work.after,
        flows=True,
    )


def _cloth_lines(canvas: CanvasSheet, say: Voice) -> tuple[str, ...]:
    """Size, middles, staple line, spacing, first runs and pull."""
    piece, staples = canvas.piece, canvas.staples
    where = {Fastening.BACK: "back", Fastening.SIDE: "side", Fastening.HEM: "hem"}[piece.fastened]
    level, upright = say.place(staples.spacing_level), say.place(staples.spacing_upright)
    runs = " · ".join(_run_words(run, staples, say) for run in _first(staples))
    line = say(f"work-sheet.line-{where}", row=say.place(piece.row), line=say.place(piece.staple_line))
    spacing = say(
        "work-sheet.spacing-even" if level == upright else "work-sheet.spacing",
        level=level,
        upright=upright,
        end=say.place(min(staple.along for staple in staples.staples if staple.use is StapleUse.EDGE)),
        count=staples.count(StapleUse.EDGE),
    )
    return (
        say(
            "work-sheet.cut",
            piece=f"{say.part(piece.width)} × {say.part(piece.height)}",
            cloth=" / ".join(say.length(middle) for middle in piece.middles),
            bars=f"{say.length(canvas.face[0] / 2)} / {say.length(canvas.face[1] / 2)}",
        ),
        *(
            (
                say(
                    "work-sheet.spare",
                    spare=say.length(piece.spare, unit=True),
                    side=say(f"side.{piece.spare_side}"),
                ),
            )
            if piece.spare
            else ()
        ),
        f"{line} {spacing}",
        say("work-sheet.first-runs", runs=runs),
        say(
            "work-sheet.pull-snug" if canvas.only_snug else "work-sheet.pull",
            jaw=say.fine(canvas.pull.jaw, unit=True),
            **pull_weights(canvas, say),
        ),
    )


def _cloth_words(canvas: CanvasSheet, say: Voice) -> str:
    return f"**{say('work-sheet.cloth')}.** {' '.join(_cloth_lines(canvas, say))}"


def _first(staples: StapleMap) -> tuple[Run, ...]:
    return staples.runs[:_FIRST_RUNS]


def _run_words(run: Run, staples: StapleMap, say: Voice) -> str:
    """A run: its number, its side, and from where to where along the side."""
    by_label = {staple.label: staple for staple in staples.staples}
    places = sorted(by_label[label].along for label in run.puts_in if label in by_label)
    side = side_words(run.side, say)  # type: ignore[arg-type]
    first, last = say.place(places[0]), say.place(places[-1])
    key = "work-sheet.run-one" if first == last else "work-sheet.run"
    return say(key, **{"number": run.number, "side": side, "from": first, "to": last})
