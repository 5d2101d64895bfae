"""Large documents: files of a bounded number of sheets, pages tried only where it may help, memory let go. Counted."""

from __future__ import annotations

import io
import random
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pypdf
import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.paper.pages import A4, Bullets, Contents, Pack, Page
from longpoint.drawing.words.voice import voice_of
from longpoint.export.packs import fitting, pack_of
from longpoint.export.packs.fitting import Fill, fills_of, laid_out
from longpoint.export.typeset import pack as pack_room
from longpoint.export.typeset.pack import pack_files, pack_pdf
from longpoint.export.typeset.pack_source import LEVELS, Setting
from longpoint.jobs.plan import plan_batch
from longpoint.model.reading import parse_batch


def _page(number: int, lines: int, **more: object) -> Page:
    items = tuple(f"line {n} of {number}" for n in range(lines))
    return Page("p", "Saw", f"Page {number}", (Bullets(items),), name=f"n{number}", **more)  # type: ignore[arg-type]


def _texts(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]


def test_files_of_a_long_document_read_as_one(monkeypatch: pytest.MonkeyPatch) -> None:
    begins = Page("start", "Start", "Start", (Contents(),), name="start", after=("n5",))
    pages = (begins, *(_page(n, 20 + 15 * n, flows=n % 2 == 0) for n in range(1, 8)))
    pack = Pack("t", "r", pages)
    whole = _texts(pack_pdf(pack))
    monkeypatch.setattr(pack_room, "MOST_SHEETS", 5)
    files = dict(pack_files("out", pack))
    first, *further = files
    counts = [len(_texts(files[name])) for name in files]
    assert first == "out.pdf" and further
    assert further == [f"out-{1 + sum(counts[:k])}.pdf" for k in range(1, len(counts))]
    assert max(counts) <= 5
    assert [text for contents in files.values() for text in _texts(contents)] == whole


def test_a_long_list_of_pages_goes_on_on_the_next_sheet() -> None:
    pages = [
        Page("start", "Start", "Start", (Contents(),)),
        *(_page(n, 1, alone=True) for n in range(1, 400)),
    ]
    pdf = pack_pdf(Pack("t", "r", tuple(pages)))
    sheets = _texts(pdf)
    before = len(sheets) - 399
    front = " ".join(sheets[:before])
    assert before > 1
    assert [n for n in range(1, 400) if f"Page {n} {n + before}" not in front] == []
    heights: list[float] = []

    def seen(text: str, cm: list[float], tm: list[float], *_: object) -> None:
        heights.append(cm[5] + cm[3] * tm[5])

    for page in pypdf.PdfReader(io.BytesIO(pdf)).pages[:before]:
        page.extract_text(visitor_text=seen)
    assert min(heights) >= 0  # nothing runs off the foot


def test_pages_are_tried_in_parcels(monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[int] = []
    ends_of = fitting.ends_of

    def counted(source: str) -> list[tuple[int, int, float]]:
        tried.append(source.count("<end-of-page>"))
        return ends_of(source)

    monkeypatch.setattr(fitting, "ends_of", counted)
    pack = Pack("t", "r", tuple(_page(n, 3, alone=True) for n in range(100)))
    fills = fills_of(pack)
    assert sorted(tried) == [20, 40, 40]
    assert list(fills) == list(range(100)) and {fill.sheets for fill in fills.values()} == {1}
    tried.clear()
    laid_out(pack)  # nothing can share a sheet: nothing is tried tighter
    assert sum(tried) == 100


def test_what_is_not_tried_tighter_would_gain_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def all_levels(pack: Pack, bench: fitting._Measured) -> list[Mapping[int, Fill]]:
        every = range(len(pack.pages))
        return [bench.fills(dict.fromkeys(every, Setting(level))) for level in range(len(LEVELS))]

    luck = random.Random(5)
    for _ in range(2):
        pages = tuple(
            _page(
                n, luck.choice((4, 12, 25, 46, 50, 90)), alone=luck.random() < 0.2, flows=luck.random() < 0.4
            )
            for n in range(14)
        )
        pack = Pack("t", "r", pages)
        found = laid_out(pack)
        with monkeypatch.context() as patched:
            patched.setattr(fitting, "_levels", all_levels)
            assert laid_out(pack) == found


def test_a_sheet_of_a_work_is_drawn_for_trial_only_until_it_fits(monkeypatch: pytest.MonkeyPatch) -> None:
    text = 'unit = "mm"\n' + "".join(
        f'[[work]]\nname = "no. {n}"\nwidth = {700 + 90 * n}\nheight = 500\n' for n in range(4)
    )
    plan = plan_batch(parse_batch(text), choose=design_of)
    drawn: list[str] = []
    work_pages = pack_of.work_pages

    def counted(work: object, **how: object) -> tuple[Page, ...]:
        pages = work_pages(work, **how)  # type: ignore[arg-type]
        drawn.append(pages[0].title)
        return pages

    monkeypatch.setattr(pack_of, "work_pages", counted)
    pack = pack_of.pack_of(plan, say=voice_of("en", plan.batch.style), paper=A4)
    assert {drawn.count(title) for title in drawn} == {
        2
    }  # once as low as it may be, once as high as it can be
    sheets = _texts(pack_pdf(pack))  # what was tried came out so: every sheet says its number and theirs
    for number, sheet in enumerate(sheets, start=1):
        assert f"{number} of {len(sheets)}" in sheet
    listed = {
        title: number
        for number, sheet in enumerate(sheets, start=1)
        for title in drawn
        if title in sheet[:60]
    }
    assert set(listed) == set(drawn)
    assert all(f"{title} {number}" in sheets[0] for title, number in listed.items())


KEPT = """
import sys
from longpoint.drawing.paper.pages import Bullets, Pack, Page
from longpoint.export.typeset.pack import pack_pdf

def megabytes():
    for line in open("/proc/self/status"):
        if line.startswith("VmRSS"):
            return int(line.split()[1]) / 1024

def one(k):
    items = tuple(f"line {n} of {k}, which says something of its own " + "and more " * (n % 30) for n in range(900))
    pack_pdf(Pack("t", "r", (Page("p", "s", f"title {k}", (Bullets(items),)),)))

for k in range(3):
    one(k)
before = megabytes()
for k in range(3, 9):
    one(k)
print(megabytes() - before)
"""


@pytest.mark.skipif(
    not Path("/proc/self/status").exists(), reason="the memory of a process is read from /proc"
)
def test_documents_that_were_set_are_let_go() -> None:
    done = subprocess.run([sys.executable, "-c", KEPT], check=True, capture_output=True, text=True)
    assert float(done.stdout) < 20  # [MB]; kept, six documents of thirty sheets take several times that
