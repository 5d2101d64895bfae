"""Everything ``longpoint plan`` writes: file names and bytes."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence

from longpoint.drawing.frame_views import back_view, front_view
from longpoint.drawing.full_size import BAR, NO_CORRECTION, correction_from
from longpoint.drawing.outlines import frame_outlines, part_marks
from longpoint.drawing.pages import Pack, drawings_of, paper_named
from longpoint.drawing.section_view import section_view
from longpoint.drawing.voice import Voice, voice_of
from longpoint.export.dxf import dxf_of
from longpoint.export.gltf import glb_of
from longpoint.export.manifest import FileRow, manifest_of
from longpoint.export.pack import pack_pdf
from longpoint.export.pack_of import pack_of
from longpoint.export.plan_json import plan_json
from longpoint.export.solids import Bore, frame_solids
from longpoint.export.step import step_is_there, step_of
from longpoint.export.svg import svg_of
from longpoint.export.workbook import SheetOf, xlsx_of
from longpoint.jobs.plan import Plan
from longpoint.joinery import BuildPlan
from longpoint.joinery.holes import DEEPER
from longpoint.joinery.joint import Point, along

_Spot = tuple[float, float, float]
_VIEW_ROOM = (400.0, 280.0)


def result_files(
    plan: Plan, *, paper: str = "", measured: tuple[float, float] | None = None
) -> Iterator[tuple[str, bytes]]:
    """All results of a plan, one after the other as they are made; ``plan.json``, which names the others, last.

    Args:
        plan: The plan.
        paper: Name of the paper; "" for the batch's own.
        measured: What the check bars across and up measured on an earlier print, so that full-size pages come out
            right on that printer; None prints them as they are. [mm]

    Yields:
        Path inside the folder of results, and contents.

    Raises:
        FaultsError: If the paper is not known, or the measures are further off than a printer can be.
    """
    written: list[FileRow] = []
    for path, contents in _drawn_files(plan, paper=paper, measured=measured):
        written += manifest_of([(path, contents)])
        yield path, contents
    yield "plan.json", plan_json(plan, files=sorted(written, key=lambda row: row.path))


def _drawn_files(
    plan: Plan, *, paper: str, measured: tuple[float, float] | None
) -> Iterator[tuple[str, bytes]]:
    sheet = paper_named(paper or plan.batch.paper)
    say = voice_of(plan.batch.language, plan.batch.style)
    correction = NO_CORRECTION
    if measured is not None:
        bar = BAR[say.lengths.system]
        correction = correction_from(across=measured[0], up=measured[1], bar=bar)
    pack = pack_of(plan, say=say, paper=sheet, correction=correction)
    yield "pack.pdf", pack_pdf(pack, paper=sheet)
    tables = (
        ("parts", _PARTS_HEAD, parts_rows(plan)),
        ("cuts", _CUTS_HEAD, cuts_rows(plan)),
        ("buying", _BUYING_HEAD, buying_rows(plan)),
    )
    for name, head, rows in tables:
        yield f"tables/{name}.csv", _csv(head, rows)
    for number, refused in enumerate((one for one in plan.refereed if not one.passed), start=1):
        yield f"cases/{number:02d}-{refused.what}.json", refused.case.encode()
    yield "tables/tables.xlsx", xlsx_of([SheetOf(name, head, rows) for name, head, rows in tables])
    yield from drawings(plan, say=say)
    yield from sheet_drawings(pack)


def sheet_drawings(pack: Pack) -> Iterator[tuple[str, bytes]]:
    """Every drawing of the pack as SVG, numbered by the page value it stands on and its place there."""
    for number, page in enumerate(pack.pages, start=1):
        for place, view in enumerate(drawings_of(page), start=1):
            stem = f"{number:03d}-{page.key}-{place:02d}-{file_word(view.name)}"
            yield f"drawings/sheets/{stem}.svg", svg_of(view, title=f"{page.title}. {view.title}").encode()


def drawings(plan: Plan, *, say: Voice) -> Iterable[tuple[str, bytes]]:
    """Every drawing and solid of the works: path and contents."""
    for work in plan.works:
        stem = f"{work.code}-{file_word(work.name)}"
        views = (
            front_view(work.frame, say=say, room=_VIEW_ROOM),
            back_view(work.frame, work.parts, say=say, room=_VIEW_ROOM),
            section_view(work.frame, say=say, room=(200.0, 150.0)),
        )
        for view in views:
            yield (
                f"drawings/{stem}-{view.name}.svg",
                svg_of(view, title=f"{work.name}. {view.title}").encode(),
            )
        yield f"drawings/{stem}.dxf", dxf_of(frame_outlines(work.frame))
        for part in work.parts:
            marks = part_marks(part, work.frame.design, say=say)
            yield f"drawings/parts/{file_word(part.mark)}.dxf", dxf_of(marks)
        solids = frame_solids(work.build.frame, bores=bores_of(work.build))
        yield f"solids/{stem}.glb", glb_of(solids, name=work.name)
        if step_is_there():
            yield f"solids/{stem}.step", step_of(work.build.frame, name=work.name, bores=bores_of(work.build))


def bores_of(build: BuildPlan) -> dict[str, list[Bore]]:
    """The holes of a build plan as bores, by name of the member."""
    bores: dict[str, list[Bore]] = {}
    for joint in build.joints:
        for bolt in joint.bolts:
            through = Bore(_spot(bolt.start), _spot(bolt.end), float(bolt.hole))
            for name in bolt.members:
                bores.setdefault(name, []).append(through)
        for dowel in joint.dowels:
            reach = dowel.length / 2 + DEEPER
            ends = (along(dowel.centre, dowel.axis, -reach), along(dowel.centre, dowel.axis, reach))
            for name in dowel.members:
                bores.setdefault(name, []).append(Bore(_spot(ends[0]), _spot(ends[1]), float(dowel.diameter)))
        for fixing in joint.fixings:
            passed = float(fixing.passed)
            deep = passed + float(fixing.pilot_depth)
            start = tuple(float(value) for value in fixing.start)
            axis = fixing.axis

            def at(distance: float, start: tuple[float, ...] = start, axis: tuple[int, ...] = axis) -> _Spot:
                x, y, z = (start[k] + axis[k] * distance for k in range(3))
                return (x, y, z)

            for name in fixing.through:
                bores.setdefault(name, []).append(Bore(at(-1.0), at(passed), float(fixing.clearance_hole)))
            bores.setdefault(fixing.into, []).append(
                Bore(at(passed - 0.5), at(deep), float(fixing.pilot_hole))
            )
    return bores


def _spot(point: Point) -> _Spot:
    x, y, z = (float(value) for value in point)
    return (x, y, z)


def file_word(name: str) -> str:
    """A name as part of a file name: letters, digits and hyphens; ``work`` where nothing is left."""
    plain = unicodedata.normalize("NFKD", name.casefold()).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40] or "work"


_PARTS_HEAD = (
    "mark", "work", "kind", "members", "per work", "how many", "long point [mm]", "short point [mm]",
    "thickness [mm]", "depth [mm]", "bevel fall [mm]", "ends", "measured on the frame", "marks [mm]",
)  # fmt: skip
_CUTS_HEAD = (
    "section", "board", "number", "length [mm]", "from the rack", "cut", "part", "from [mm]", "to [mm]",
    "stop [mm]", "saw, left end", "saw, right end", "remains [mm]",
)  # fmt: skip
_BUYING_HEAD = ("group", "what", "need", "in the rack", "unit", "buy", "pack", "each", "total", "note")


def parts_rows(plan: Plan) -> list[tuple[str, ...]]:
    """Rows of ``parts.csv``."""
    return [
        (
            part.mark,
            part.work,
            str(part.kind),
            "; ".join(part.members),
            str(part.per_work),
            str(part.how_many),
            _mm(part.long_point),
            _mm(part.short_point),
            _mm(part.thickness),
            _mm(part.depth),
            _mm(part.bevel_fall),
            " / ".join(part.ends),
            "yes" if part.measured else "no",
            "; ".join(f"{_mm(mark.at)} {mark.what}" for mark in part.marks),
        )
        for work in plan.works
        for part in work.parts
    ]


def cuts_rows(plan: Plan) -> list[tuple[str, ...]]:
    """Rows of ``cuts.csv``."""
    return [
        (
            section.plan.section,
            board.board,
            str(board.copy),
            _mm(board.length / 1e6),
            "yes" if board.at_hand else "no",
            str(number),
            cut.part,
            _mm(cut.start / 1e6),
            _mm(cut.end / 1e6),
            _mm(cut.stop / 1e6),
            str(cut.swing_start),
            str(cut.swing_end),
            _mm(board.remains / 1e6),
        )
        for section in plan.boards
        for board in section.plan.boards
        for number, cut in enumerate(board.cuts, start=1)
    ]


def buying_rows(plan: Plan) -> list[tuple[str, ...]]:
    """Rows of ``buying.csv``."""
    return [
        (
            line.group,
            line.what,
            f"{line.need:g}",
            f"{line.have:g}",
            line.unit,
            f"{line.buy:g}",
            line.pack,
            "" if line.each is None else str(line.each),
            "" if line.total is None else str(line.total),
            line.note,
        )
        for line in plan.buying
    ]


def _csv(head: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    """RFC 4180: commas, quotes where needed, CRLF; UTF-8 with a mark, so that spreadsheets read it right."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows(_harmless(row) for row in rows)
    return b"\xef\xbb\xbf" + text.getvalue().encode()


def _harmless(row: Sequence[str]) -> list[str]:
    # A cell that begins like a formula would be run by a spreadsheet.
    return [f"'{cell}" if cell[:1] in ("=", "+", "@") else cell for cell in row]


def _mm(length: object) -> str:
    return f"{float(length):.2f}".rstrip("0").rstrip(".")  # type: ignore[arg-type]
