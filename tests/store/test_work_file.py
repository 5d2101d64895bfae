"""The page for a work's file shows what it is made of, when, what was measured, and its photographs."""

from __future__ import annotations

import base64
import io
import struct
import zlib
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from longpoint.drawing.paper.pages import A4
from longpoint.drawing.sheets.file_page import Reader, file_page
from longpoint.drawing.words.voice import voice_of
from longpoint.export.packs.book_pack import file_pdf
from longpoint.export.page_html import page_html
from longpoint.store import Store
from longpoint.store.book.photographs import FOLDER, attach
from longpoint.store.book.plans import add_plan
from longpoint.store.book.ticks import set_state
from longpoint.store.book.values import measure
from longpoint.store.book.work_file import work_file


def picture(wide: int = 40, high: int = 30, colour: tuple[int, int, int] = (200, 90, 30)) -> bytes:
    """A PNG of one colour (ISO/IEC 15948)."""
    raw = b"".join(b"\0" + bytes(colour) * wide for _ in range(high))

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(raw)) + chunk(b"IEND", b"")
    )


@pytest.fixture
def begun(lite: Store, document: dict[str, Any]) -> Store:
    with lite.writing("Mara") as desk:
        add_plan(desk, document)
        set_state(desk, "W1", "primed")
        measure(desk, "press tension", 231, label="W1")
        attach(desk, "W1", picture(), caption="The back <before> the canvas")
        attach(desk, "W1", picture(60, 80, (10, 80, 160)), caption="Primed")
        attach(desk, "W1", b"\xff\xd8\xff\xe0" + b"x" * 50, caption="Blurred")
    return lite


@pytest.mark.parametrize("reader", ["painter", "buyer", "conservator"])
@pytest.mark.parametrize("language", ["en", "de"])
def test_the_page_shows_materials_dates_tension_and_pictures(
    begun: Store, reader: Reader, language: str
) -> None:
    with begun.reading() as desk:
        found = work_file(desk, "W1", reader=reader)
    say = voice_of(language)
    pdf = PdfReader(
        io.BytesIO(file_pdf(found.page, pictures=found.pictures, revision="r", say=say, paper=A4))
    )
    text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    pixels = {image.image.size for page in pdf.pages for image in page.images if image.image is not None}
    assert pixels == {(40, 30), (60, 80)}
    for said in (
        "PVA wood glue, 3.4 g",
        "R1: cotton, 340 g/m²",
        "21 × 44 mm, C16",
        "2026-03-02",
        "231 N/m",
        "Primed",
    ):
        assert said in text, said
    assert "The back <before> the canvas · 2026-03-02" in text
    assert ("the picture cannot be printed" if language == "en" else "lässt sich nicht drucken") in text
    assert ("Mara" in text) == ("267.6" in text) == (reader != "buyer")
    assert PdfReader(
        io.BytesIO(file_pdf(found.page, pictures=found.pictures, revision="r", say=say, paper=A4))
    ).pages


def test_the_same_as_one_file_of_html(begun: Store, tmp_path: Path) -> None:
    with begun.reading() as desk:
        found = work_file(desk, "W1")
    made = page_html(
        file_page(found.page, say=voice_of("de")), pictures=found.pictures, language="de"
    ).decode()
    assert "The back &lt;before&gt; the canvas" in made and "<before>" not in made
    shown = [base64.b64decode(bit.partition('"')[0]) for bit in made.split(";base64,")[1:]]
    assert shown[:2] == [picture(), picture(60, 80, (10, 80, 160))]
    for file in (begun.place.folder / FOLDER).rglob("*.png"):
        file.unlink()
    less = page_html(
        file_page(found.page, say=voice_of("de")), pictures=found.pictures, language="de"
    ).decode()
    assert less.count("<img") == 1 and "Primed" in less
