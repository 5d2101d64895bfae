"""The staple map and the corner page of a demo work, measured on the print against the plan's own numbers."""

from __future__ import annotations

import re
import subprocess
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.paper.pages import A4, Pack, Page
from longpoint.drawing.sheets.canvas_sheet import CanvasSheet
from longpoint.drawing.sheets.staple_pages import staple_page
from longpoint.drawing.sheets.templates import corner_cut_marks, template_page
from longpoint.drawing.words.voice import frame_words, voice_of
from longpoint.export.typeset.pack import pack_pdf
from longpoint.model.reading import parse_batch
from longpoint.stretching.staple_map import StapleUse
from longpoint.units import LengthStyle
from longpoint.works.draft import CanvasWork, canvas_work

DEMO = Path(__file__).parents[2] / "examples" / "winter-show.toml"
SAY = voice_of("en", LengthStyle())
DOTS = 300
MM = 25.4 / DOTS


@cache
def work() -> CanvasWork:
    return canvas_work(parse_batch(DEMO.read_bytes()), "Slack water", choose=design_of)


def printed(page: Page, folder: Path) -> tuple[np.ndarray, str]:
    """The page as tones, and its words with their places."""
    pdf = folder / "p.pdf"
    pack = Pack(title="T", revision="r", pages=(page,), language="en", words=frame_words(SAY))
    pdf.write_bytes(pack_pdf(pack, paper=A4))
    first = ["-f", "1", "-l", "1"]
    subprocess.run(
        ["pdftoppm", *first, "-r", str(DOTS), "-gray", "-singlefile", str(pdf), str(folder / "p")], check=True
    )
    words = subprocess.run(
        ["pdftotext", *first, "-bbox", str(pdf), "-"], check=True, capture_output=True, text=True
    ).stdout
    return np.asarray(Image.open(folder / "p.pgm")).astype(int), words


def dark_runs(line: np.ndarray) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], (line < 100).astype(int), [0]])))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


@pytest.mark.slow
def test_the_staple_map_on_paper_has_every_staple_where_the_plan_says(tmp_path: Path) -> None:
    canvas, design = work().canvas, work().frame.design
    width, height = float(design.width), float(design.height)
    sheet = CanvasSheet(
        name="Slack water",
        code="A",
        face=(width, height),
        piece=canvas.piece,
        fold=canvas.fold,
        folded_level=True,
        first=canvas.first,
        staples=canvas.staples,
        order=canvas.stapling.order.name,
        waits=False,
        figures=None,
        story=canvas.story,
        bears=None,
        only_snug=True,
        leg=canvas.leg,
        pull=canvas.pull,
        tensions=canvas.tensions,
        priming=canvas.priming,
        press=canvas.press,
        year=canvas.year,
        afterwards=canvas.afterwards,
    )
    image, words = printed(staple_page([sheet], say=SAY, paper=A4), tmp_path)
    face = np.abs(image - 237) <= 1  # the tone of the bars from behind
    rows, columns = np.flatnonzero(face.sum(axis=1) > 100), np.flatnonzero(face.sum(axis=0) > 100)
    top, foot, left, right = rows[0], rows[-1] + 1, columns[0], columns[-1] + 1
    scale = (right - left) / width  # dots per mm of the work
    assert (foot - top) / height == pytest.approx(scale, rel=0.005)
    found: dict[str, list[float]] = {}
    inside, about = round(3.6 / MM), round(0.5 / MM)  # the row is drawn 3.6 mm within the edge
    band = slice(inside - about, inside + about)
    below = slice(-inside - about, -inside + about)
    for side, line, origin, sign in (
        (
            "top",
            image[top:foot, left:right][band].min(axis=0),
            width,
            -1.0,
        ),  # from behind, so counted from the right
        ("bottom", image[top:foot, left:right][below].min(axis=0), width, -1.0),
        ("right", image[top:foot, left:right][:, band].min(axis=1), height, -1.0),
        ("left", image[top:foot, left:right][:, below].min(axis=1), height, -1.0),
    ):
        marks = [(a + b) / 2 for a, b in dark_runs(line) if (b - a) * MM > 1.0]
        found[side] = sorted(origin + sign * at / scale for at in marks)
    for side, along in found.items():
        # on the upright sides the rings of the holding staples touch the last two at either end
        length = width if side in ("bottom", "top") else height
        free = 0.0 if side in ("bottom", "top") else 80.0
        seen = [at for at in along if free < at < length - free]
        mine = [s for s in canvas.staples.staples if s.side == side and s.use is StapleUse.EDGE]
        stated = sorted(s.along for s in mine if free < s.along < length - free)
        assert len(stated) > 20
        assert len(seen) == len(stated), side
        assert seen == pytest.approx(stated, abs=0.3 / MM / scale), side  # 0.3 mm on paper
    # each run's number stands beside its own staples
    places = {
        int(n): ((float(x0) + float(x1)) / 2, (float(y0) + float(y1)) / 2)
        for x0, y0, x1, y1, n in re.findall(
            r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(\d+)<', words
        )
        if float(y1) / 72 * DOTS < foot + 22 / MM and float(y0) / 72 * DOTS > top - 22 / MM
    }
    by_label = {staple.label: staple for staple in canvas.staples.staples}
    for run in canvas.staples.runs:
        driven = [by_label[label] for label in run.puts_in]
        if any(staple.use is StapleUse.FOLD for staple in driven):
            continue
        x, y = (at / 72 * DOTS for at in places[run.number])
        middle = (min(s.along for s in driven) + max(s.along for s in driven)) / 2
        at = width - (x - left) / scale if run.side in ("bottom", "top") else (foot - y) / scale
        assert at == pytest.approx(middle, abs=0.8 / MM / scale), run.number
        outside = {"top": y < top, "bottom": y > foot, "right": x < left, "left": x > right}
        assert outside[run.side], run.number


@pytest.mark.slow
def test_the_corner_page_on_paper_has_its_cut_and_folds_where_the_plan_says(tmp_path: Path) -> None:
    fold = work().canvas.fold
    room = min(160.0, 2.0 * fold.turnover)
    marks = corner_cut_marks(
        [(patch.name, patch.outline) for patch in fold.flat],
        fold.cut.outline,
        fold.folds,
        turnover=fold.turnover,
        depth=fold.depth,
        room=room,
        say=SAY,
    )
    page = template_page("corner-cut", [marks], about=("Slack water",), say=SAY, paper=A4)
    image, _ = printed(page, tmp_path)
    # the two check bars are 180 mm long, their pen 0.35
    body = image[round(40 / MM) : round(-30 / MM)]
    level = max((run for row in body for run in dark_runs(row)), key=lambda run: run[1] - run[0])
    assert (level[1] - level[0]) * MM - 0.35 == pytest.approx(180, abs=0.2)
    face = np.abs(image - 242) <= 1  # the tone of the face
    rows, columns = np.flatnonzero(face.sum(axis=1) > 200), np.flatnonzero(face.sum(axis=0) > 200)
    assert (columns[-1] + 1 - columns[0]) * MM == pytest.approx(room - fold.turnover, abs=0.7)
    corner = (columns[-1] + 1, rows[0])  # of the face, on paper: cloth lies right of it and above

    def darkness(start: tuple[float, float], end: tuple[float, float], aside: float = 0.0) -> float:
        """Part of a line that is drawn, or of its neighbour to the side [mm]."""
        (x0, y0), (x1, y1) = start, end
        length = float(np.hypot(x1 - x0, y1 - y0))
        nx, ny = -(y1 - y0) / length * aside, (x1 - x0) / length * aside
        parts = np.linspace(0.03, 0.97, 200)
        xs = np.rint(corner[0] + (x0 + nx + parts * (x1 - x0)) / MM).astype(int)
        ys = np.rint(corner[1] - (y0 + ny + parts * (y1 - y0)) / MM).astype(int)
        near = [image[ys + dy, xs + dx] < 140 for dy in (-3, 0, 3) for dx in (-3, 0, 3)]  # 0.25 mm about
        return float(np.mean(np.any(near, axis=0)))

    low = fold.turnover - room
    outline = list(fold.cut.outline)
    edges = [
        (a, b)
        for a, b in zip(outline, [*outline[1:], outline[0]], strict=True)
        if np.hypot(b[0] - a[0], b[1] - a[1]) > 8
        and min(max(a[0], b[0]), max(a[1], b[1])) < fold.turnover + 1
    ]
    assert edges
    for a, b in edges:
        assert darkness(a, b) > 0.75, (a, b)
    for a, b in fold.folds:
        if min(*a, *b) >= low and np.hypot(b[0] - a[0], b[1] - a[1]) > 8:
            assert darkness(a, b) > 0.4, (a, b)
    # the outer edges of the cloth, turnover from the face
    for a, b in (((low, fold.turnover), (0.0, fold.turnover)), ((fold.turnover, low), (fold.turnover, 0.0))):
        assert darkness(a, b) > 0.4
        assert darkness(a, b, 1.5) < 0.2 and darkness(a, b, -1.5) < 0.2
