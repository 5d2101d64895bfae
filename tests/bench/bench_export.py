"""Speed of drawings and files, as ratios against named baselines in the same run (wall time, best of three).

Baselines: poppler's `pdftoppm` looking at the same pages at 60 dots an inch; ezdxf writing an empty drawing;
trimesh writing as many plain boxes; the standard library's json on the same numbers.
"""

from __future__ import annotations

import io
import json
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import ezdxf
import pytest
import trimesh

from export.frames import frame_of
from longpoint.drawing.paper.outlines import frame_outlines
from longpoint.drawing.paper.pages import Drawing, Pack, Page, drawings_of
from longpoint.drawing.views.section import section_view
from longpoint.drawing.views.work import work_view
from longpoint.drawing.words.voice import voice_of
from longpoint.export.shapes.dxf import dxf_of
from longpoint.export.shapes.gltf import glb_of
from longpoint.export.shapes.solids import frame_solids
from longpoint.export.shapes.step import step_is_there, step_of
from longpoint.export.shapes.svg import svg_of
from longpoint.export.typeset.pack import pack_pdf
from longpoint.export.workbook import SheetOf, xlsx_of
from longpoint.frame import parts_of

pytestmark = pytest.mark.bench

SAY = voice_of("en")
LINES: list[str] = []


@pytest.fixture(scope="module", autouse=True)
def table(request: pytest.FixtureRequest) -> Iterator[None]:
    yield
    reporter = request.config.pluginmanager.get_plugin("terminalreporter")
    capture = request.config.pluginmanager.get_plugin("capturemanager")
    with capture.global_and_fixture_disabled():
        for line in ["", *LINES]:
            reporter.write_line(line)


def best(job: Callable[[], object], times: int = 3) -> float:
    """Least wall time of some runs. [s]"""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        job()
        taken.append(time.perf_counter() - start)
    return min(taken)


def say_row(what: str, ours: float, baseline: str, theirs: float) -> float:
    ratio = ours / theirs
    LINES.append(f"{what:46s} {ours:8.3f} s   {baseline:36s} {theirs:8.3f} s   ratio {ratio:6.2f}")
    return ratio


def pages_of(count: int) -> tuple[Page, ...]:
    pages: list[Page] = []
    for k in range(count):
        frame = frame_of(607 + 37 * k, 503 + 29 * (k * 7 % count), rails=k % 4, middle=k % 4 > 0)
        parts = parts_of(frame, work=f"w{k}", code="A", how_many=1)
        view = work_view(frame, parts, say=SAY, room=(120.0, 82.0))
        section = section_view(frame, say=SAY, room=(178.0, 84.0), turnover=80)
        pages.append(Page("work", "Frames", f"Work {k}", (Drawing(view), Drawing(section)), alone=True))
    return tuple(pages)


def test_drawing_and_typesetting_sixty_works_against_looking_at_them(tmp_path: Path) -> None:
    start = time.perf_counter()
    pages = pages_of(60)
    drawn = time.perf_counter() - start
    pack = Pack("Bench", "0", pages)
    made = pack_pdf(pack)
    set_again = best(lambda: pack_pdf(pack))
    path = tmp_path / "pack.pdf"
    path.write_bytes(made)
    looking = best(
        lambda: subprocess.run(
            ["pdftoppm", "-r", "60", "-gray", str(path), str(tmp_path / "p")], check=True, capture_output=True
        ),
        times=1,
    )
    say_row(f"draw {len(pages)} pages of 60 works", drawn, "pdftoppm of the same pages", looking)
    assert (
        say_row(f"typeset them ({len(made) / 1e6:.1f} MB)", set_again, "pdftoppm of the same pages", looking)
        < 1
    )


def test_dxf_against_an_empty_drawing() -> None:
    outlines = frame_outlines(frame_of())

    def empty() -> None:
        ezdxf.new("R2010", setup=True).write(io.StringIO())

    assert say_row("frame as DXF", best(lambda: dxf_of(outlines)), "ezdxf, empty drawing", best(empty)) < 5


def test_solids_against_plain_boxes() -> None:
    frame = frame_of()

    def boxes() -> bytes:
        scene = trimesh.Scene()
        for member in frame.members:
            scene.add_geometry(trimesh.creation.box((1, 2, 3)), node_name=member.name)
        return bytes(scene.export(file_type="glb"))

    ours = best(lambda: glb_of(frame_solids(frame)))
    assert say_row("frame as glTF, mitres cut", ours, "trimesh, as many boxes", best(boxes)) < 10


@pytest.mark.skipif(not step_is_there(), reason="the extra [step] is not installed")
def test_step_against_gltf_of_the_same_frame() -> None:
    frame = frame_of()
    plain = best(lambda: glb_of(frame_solids(frame)))
    say_row("frame as STEP", best(lambda: step_of(frame, name="frame")), "the same frame as glTF", plain)


def test_svg_and_workbook_against_json() -> None:
    pages = pages_of(3)
    views = [view for page in pages for view in drawings_of(page)]
    numbers = [[k * 0.1 for k in range(40)] for _ in range(2000)]
    plain = best(lambda: json.dumps(numbers))
    say_row(
        f"{len(views)} views as SVG",
        best(lambda: [svg_of(view) for view in views]),
        "json of 80 000 numbers",
        plain,
    )
    rows = [[str(value) for value in row] for row in numbers[:500]]
    head = [f"c{k}" for k in range(40)]
    sheet = SheetOf("t", head, rows)
    say_row("workbook of 500 × 40 cells", best(lambda: xlsx_of([sheet])), "json of 80 000 numbers", plain)
