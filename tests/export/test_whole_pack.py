"""The whole pack of small batches: every view readable, every page on its paper, every file as it should be."""

from __future__ import annotations

import csv
import io
import json
import subprocess
from pathlib import Path

import openpyxl
import pypdf
import pytest
import trimesh

from longpoint.cli.folder import PLANNED
from longpoint.drawing.paper.extent import box_round, overlaps
from longpoint.drawing.paper.lettering import shown
from longpoint.drawing.paper.marks import Layer, Polygon
from longpoint.drawing.paper.pages import A4, LETTER, Pack, Paper, drawings_of
from longpoint.drawing.sheets.full_size import Correction
from longpoint.drawing.words.voice import voice_of
from longpoint.export.packs.fitting import THIN, fills_of, laid_out
from longpoint.export.packs.pack_of import alike, pack_of
from longpoint.export.results import bores_of, file_word, result_files
from longpoint.export.shapes.solids import frame_solids
from longpoint.export.typeset.pack import pack_pdf
from longpoint.export.typeset.pack_source import groups_of
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch

pytestmark = pytest.mark.slow

BATCH = """
title = "Two rooms, größer"
show = "{system}"
[bars]
depth = 44
bevel = 5
thickness = 21
[[work]]
name = "Slack water / \\"low\\""
width = 1307
height = 893
[[work]]
name = "Twin of it"
width = 1307
height = 893
how_many = 2
[[work]]
name = "Study 漢"
width = 303
height = 211
[inside]
end_rails = "short sides"
[shop.rates]
per_hour = 24
"""


@pytest.fixture(scope="module")
def plan() -> Plan:
    return plan_batch(parse_batch(BATCH.format(system="mm"), file="t.toml"))


@pytest.fixture(scope="module")
def inch_plan() -> Plan:
    return plan_batch(parse_batch(BATCH.format(system="in"), file="t.toml"))


def _pack(plan: Plan, language: str, paper: Paper) -> Pack:
    return pack_of(plan, say=voice_of(language, plan.batch.style), paper=paper)


@pytest.mark.parametrize(
    ("which", "language", "paper"),
    [("plan", "en", A4), ("plan", "de", LETTER), ("inch_plan", "de", A4), ("inch_plan", "en", LETTER)],
    ids=["mm-en-A4", "mm-de-Letter", "in-de-A4", "in-en-Letter"],
)
def test_every_view_of_the_pack_is_readable_on_both_papers(
    request: pytest.FixtureRequest, which: str, language: str, paper: Paper
) -> None:
    pack = _pack(request.getfixturevalue(which), language, paper)
    views = [view for page in pack.pages for view in drawings_of(page)]
    assert len(views) > 15
    for view in views:
        assert overlaps(view.marks, within=view.edge) == (), view.name
    reader = pypdf.PdfReader(io.BytesIO(pack_pdf(pack, paper=paper)))
    assert len(reader.pages) <= 23  # four works of two sizes
    width = float(reader.pages[0].mediabox.width) / 72 * 25.4
    assert width == pytest.approx(paper.width, abs=0.01)


@pytest.mark.parametrize(
    ("which", "language", "paper"),
    [("plan", "en", A4), ("plan", "de", LETTER)],
    ids=["mm-en-A4", "mm-de-Letter"],
)
def test_no_sheet_carries_only_a_few_left_over_lines(
    request: pytest.FixtureRequest, which: str, language: str, paper: Paper
) -> None:
    pack = _pack(request.getfixturevalue(which), language, paper)
    plain = fills_of(pack, paper=paper)
    settings = laid_out(pack, paper=paper).settings
    fills = fills_of(pack, paper=paper, settings=settings)
    for group in groups_of(fills, settings):
        sheets = sum(fills[n].sheets for n in group) - len(group) + 1
        assert sheets == 1 or fills[group[-1]].last >= THIN, pack.pages[group[-1]].key
    assert len(groups_of(fills, settings)) < len(pack.pages)  # short pages share a sheet
    # without it some pages of this very pack would have run over by a little
    assert any(fill.sheets > 1 and fill.last < 0.5 for fill in plain.values())


@pytest.mark.parametrize(
    ("which", "language", "paper"),
    [("plan", "en", A4), ("plan", "de", LETTER), ("inch_plan", "de", A4), ("inch_plan", "en", LETTER)],
    ids=["mm-en-A4", "mm-de-Letter", "in-de-A4", "in-en-Letter"],
)
def test_a_work_is_one_sheet_in_both_systems_languages_and_papers(
    request: pytest.FixtureRequest, which: str, language: str, paper: Paper
) -> None:
    pack = _pack(request.getfixturevalue(which), language, paper)
    fills = fills_of(pack, paper=paper, settings=laid_out(pack, paper=paper).settings)
    sheets = {page.title: fills[n].sheets for n, page in enumerate(pack.pages) if page.key == "work"}
    assert len(sheets) == 2
    assert max(sheets.values()) <= (1 if language == "en" and paper is A4 else 2)


def test_pages_come_in_the_order_of_the_work_and_equal_frames_share_theirs(plan: Plan) -> None:
    pack = _pack(plan, "en", A4)
    keys = list(dict.fromkeys(page.key for page in pack.pages))
    order = [
        *(
            "start",
            "days",
            "tools",
            "yard",
            "buying",
            "bevel",
            "cards",
            "saw-stops",
            "saw-boards",
            "joints",
            "build-card",
        ),
        *("work", "check", "cloth", "canvas-ready", "corner", "corner-cut", "stapling", "canvas-after"),
        *("labels", "hanging", "cost"),
    ]
    found = [key for key in keys if key in order]
    assert found == order
    assert [[work.name for work in group] for group in alike(plan)] == [
        ['Slack water / "low"', "Twin of it"],
        ["Study 漢"],
    ]
    assert sum(page.key == "work" for page in pack.pages) == 2
    labels = [page for page in pack.pages if page.key == "labels"]
    cut = [
        box_round(mark.points)
        for page in labels
        for view in drawings_of(page)
        for mark in view.marks
        if isinstance(mark, Polygon) and mark.layer is Layer.CUT
    ]
    # one for every piece, the twin is made twice; those of left-over cloth are lower
    assert sum(box.top - box.foot > 30 for box in cut) == 4


def test_every_name_of_a_work_stands_on_its_pages_and_in_the_text(plan: Plan, tmp_path: Path) -> None:
    pdf = tmp_path / "pack.pdf"
    pdf.write_bytes(pack_pdf(_pack(plan, "en", A4)))
    text = subprocess.run(["pdftotext", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    for work in plan.works:
        assert text.count(shown(work.name)) >= 3
    assert "U+6F22" in text  # the sign that cannot be printed is named by its number
    for page in text.split("\f")[:-1]:
        assert plan.revision in page


def test_files_are_named_safely_and_hold_what_they_say(plan: Plan) -> None:
    files = dict(result_files(plan))
    assert all(path.isascii() and ".." not in path and " " not in path for path in files)
    assert "drawings/A-slack-water-low.dxf" in files
    assert len({path.lower() for path in files}) == len(files)
    scene = trimesh.load(io.BytesIO(files["solids/A-slack-water-low.glb"]), file_type="glb")
    assert all(mesh.is_watertight for mesh in scene.geometry.values())
    book = openpyxl.load_workbook(io.BytesIO(files["tables/tables.xlsx"]))
    rows = list(csv.reader(io.StringIO(files["tables/parts.csv"].decode("utf-8-sig"))))
    assert book["parts"].max_row == len(rows) == 1 + sum(len(work.parts) for work in plan.works)
    sheets = [path for path in files if path.startswith("drawings/sheets/")]
    pack = _pack(plan, plan.batch.language, A4)
    assert len(sheets) == sum(len(drawings_of(page)) for page in pack.pages)
    assert all(files[path].startswith(b"<?xml") for path in sheets)
    assert files == dict(result_files(plan))
    assert [*files][-1] == PLANNED.ledger
    named = {row["path"] for row in json.loads(files["plan.json"])["files"]}
    assert named == {*files} - {"plan.json"}
    assert all(PLANNED.may_write(path) for path in files)


def test_holes_are_bored_into_the_solids(plan: Plan) -> None:
    work = plan.works[0]
    bores = bores_of(work.build)
    whole = {solid.name: solid.volume for solid in frame_solids(work.frame)}
    for solid in frame_solids(work.frame, bores=bores):
        assert solid.volume < whole[solid.name]
        assert trimesh.Trimesh(solid.vertices, solid.triangles, process=False).is_watertight


def test_a_correction_reaches_only_full_size_pages(plan: Plan) -> None:
    say = voice_of("en", plan.batch.style)
    plain = pack_of(plan, say=say, paper=LETTER)
    corrected = pack_of(plan, say=say, paper=LETTER, correction=Correction(across=1.004, up=0.996))
    changed = {one.key for one, other in zip(plain.pages, corrected.pages, strict=True) if one != other}
    assert changed == {"cards", "corner-cut"}


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("../../etc/passwd", "etc-passwd"),
        ("Größe × 2", "grosse-2"),
        ("漢字", "work"),
        ("CON", "con"),
        ("a" * 90, "a" * 40),
        ("  .hidden. ", "hidden"),
    ],
)
def test_names_become_harmless_parts_of_file_names(name: str, word: str) -> None:
    assert file_word(name) == word
