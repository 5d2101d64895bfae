"""Everything ``longpoint plan`` writes: file names and bytes."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence

from longpoint.drawing.paper.outlines import frame_outlines, part_marks
from longpoint.drawing.paper.pages import Pack, drawings_of, paper_named
from longpoint.drawing.paper.view import View
from longpoint.drawing.sheets.full_size import BAR, NO_CORRECTION, correction_from
from longpoint.drawing.views.frame import back_view, front_view
from longpoint.drawing.views.section import section_view
from longpoint.drawing.words.voice import Voice, voice_of
from longpoint.export.manifest import FileRow, manifest_of
from longpoint.export.packs.chosen import chosen, handout
from longpoint.export.packs.offer_of import offer_of, prices_pack
from longpoint.export.packs.pack_of import pack_of
from longpoint.export.packs.reasons_of import reasons_of
from longpoint.export.rows.plan import plan_json
from longpoint.export.shapes.dxf import dxf_of
from longpoint.export.shapes.gltf import glb_of
from longpoint.export.shapes.solids import Bore, frame_solids
from longpoint.export.shapes.step import step_is_there, step_of
from longpoint.export.shapes.svg import svg_of
from longpoint.export.tables import csv_of, tables_of
from longpoint.export.typeset.pack import pack_files, pack_pdf
from longpoint.export.workbook import xlsx_of
from longpoint.jobs.plan import Plan
from longpoint.jobs.prices import SizeTable
from longpoint.joinery import BuildPlan
from longpoint.joinery.joints.joint import Fixing, Point, along
from longpoint.joinery.screws.hanger import HANGER
from longpoint.joinery.screws.holes import DEEPER
from longpoint.needs.planned import PlannedWork

_Spot = tuple[float, float, float]
_VIEW_ROOM = (400.0, 280.0)


def result_files(
    plan: Plan,
    *,
    paper: str = "",
    measured: tuple[float, float] | None = None,
    wanted: Sequence[str] = (),
    people: Sequence[str] = (),
    sizes: SizeTable | None = None,
) -> Iterator[tuple[str, bytes]]:
    """All results of a plan, one after the other as they are made; ``plan.json``, which names the others, last.

    Args:
        plan: The plan.
        paper: Name of the paper; "" for the batch's own.
        measured: What the check bars across and up measured on an earlier print, so that full-size pages come out
            right on that printer; None prints them as they are. [mm]
        wanted: Kinds of sheet and works whose sheets are written once more by themselves; () for none.
        people: Names of people who get a handout each.
        sizes: Table of prices by size, written with an offer for a client; None for neither.

    Yields:
        Path inside the folder of results, and contents.

    Raises:
        FaultsError: If the paper is not known, or the measures are further off than a printer can be.
    """
    written: list[FileRow] = []
    for path, contents in _drawn_files(plan, paper, measured, wanted, people, sizes):
        written += manifest_of([(path, contents)])
        yield path, contents
    yield "plan.json", plan_json(plan, files=sorted(written, key=lambda row: row.path))


def _drawn_files(
    plan: Plan,
    paper: str,
    measured: tuple[float, float] | None,
    wanted: Sequence[str],
    people: Sequence[str],
    sizes: SizeTable | None,
) -> Iterator[tuple[str, bytes]]:
    sheet = paper_named(paper or plan.batch.paper)
    say = voice_of(plan.batch.language, plan.batch.style)
    correction = NO_CORRECTION
    if measured is not None:
        bar = BAR[say.lengths.system]
        correction = correction_from(across=measured[0], up=measured[1], bar=bar)
    pack = pack_of(plan, say=say, paper=sheet, correction=correction)
    reasons = reasons_of(plan, say=say, paper=sheet)
    yield from pack_files("pack", pack, paper=sheet)
    yield from pack_files("reasons", reasons, paper=sheet)
    if wanted:
        yield from pack_files("sheets", chosen(pack, wanted), paper=sheet)
    for person in people:
        yield from pack_files(f"handouts/{file_word(person)}", handout(pack, person, wanted), paper=sheet)
    if sizes is not None:
        yield "offer.pdf", pack_pdf(offer_of(plan, say=say), paper=sheet)
        yield "prices.pdf", pack_pdf(prices_pack(plan, sizes, say=say), paper=sheet)
    tables = tables_of(plan)
    for table in tables:
        yield f"tables/{table.title}.csv", csv_of(table)
    for number, refused in enumerate((one for one in plan.refereed if not one.passed), start=1):
        yield f"cases/{number:02d}-{refused.what}.json", refused.case.encode()
    yield "tables/tables.xlsx", xlsx_of(tables)
    yield from drawings(plan, say=say)
    yield from sheet_drawings(pack)
    yield from sheet_drawings(reasons, folder="reasons")


def sheet_drawings(pack: Pack, *, folder: str = "sheets") -> Iterator[tuple[str, bytes]]:
    """Every drawing of a pack as SVG, numbered by the page value it stands on and its place there."""
    for number, page in enumerate(pack.pages, start=1):
        for place, view in enumerate(drawings_of(page), start=1):
            stem = f"{number:03d}-{page.key}-{place:02d}-{file_word(view.name)}"
            yield f"drawings/{folder}/{stem}.svg", svg_of(view, title=f"{page.title}. {view.title}").encode()


def drawings(plan: Plan, *, say: Voice) -> Iterable[tuple[str, bytes]]:
    """Every drawing and solid of the works: path and contents."""
    hangers = {one.work: one.fixings for one in plan.hung}
    for work in plan.works:
        stem = f"{work.code}-{file_word(work.name)}"
        for view in views_of(work, say=say):
            yield (
                f"drawings/{stem}-{view.name}.svg",
                svg_of(view, title=f"{work.name}. {view.title}").encode(),
            )
        yield f"drawings/{stem}.dxf", dxf_of(frame_outlines(work.frame))
        for part in work.parts:
            marks = part_marks(part, work.frame.design, say=say)
            yield f"drawings/parts/{file_word(part.mark)}.dxf", dxf_of(marks)
        bores = bores_of(work.build, hangers.get(work.name, ()))
        solids = frame_solids(work.build.frame, bores=bores)
        yield f"solids/{stem}.glb", glb_of(solids, name=work.name)
        if step_is_there():
            yield f"solids/{stem}.step", step_of(work.build.frame, name=work.name, bores=bores)


def views_of(work: PlannedWork, *, say: Voice) -> tuple[View, ...]:
    """The drawings of a work that are files of their own."""
    return (
        front_view(work.frame, say=say, room=_VIEW_ROOM),
        back_view(work.frame, work.parts, say=say, room=_VIEW_ROOM),
        section_view(work.frame, say=say, room=(200.0, 150.0)),
    )


def bores_of(build: BuildPlan, hangers: Sequence[Fixing] = ()) -> dict[str, list[Bore]]:
    """The holes of a build plan and of hangers as bores, by name of the member."""
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
    for fixing in (*(each for joint in build.joints for each in joint.fixings), *hangers):
        passed = float(fixing.passed)
        deep = passed + float(fixing.pilot_depth)
        start = tuple(float(value) for value in fixing.start)
        axis = fixing.axis

        def at(distance: float, start: tuple[float, ...] = start, axis: tuple[int, ...] = axis) -> _Spot:
            x, y, z = (start[k] + axis[k] * distance for k in range(3))
            return (x, y, z)

        for name in fixing.through:
            if name != HANGER:
                bores.setdefault(name, []).append(Bore(at(-1.0), at(passed), float(fixing.clearance_hole)))
        bores.setdefault(fixing.into, []).append(Bore(at(passed - 0.5), at(deep), float(fixing.pilot_hole)))
    return bores


def _spot(point: Point) -> _Spot:
    x, y, z = (float(value) for value in point)
    return (x, y, z)


def file_word(name: str) -> str:
    """A name as part of a file name: letters, digits and hyphens; ``work`` where nothing is left."""
    plain = unicodedata.normalize("NFKD", name.casefold()).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40] or "work"
