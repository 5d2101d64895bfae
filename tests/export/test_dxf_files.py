"""DXF: opens without repair, outlines closed, dimensions true; read back by the library's own auditor."""

from __future__ import annotations

import io
import math

import ezdxf
import pytest

from export.frames import frame_of
from longpoint.drawing.paper.marks import Arc, Circle, Layer, Line, Polyline, Text
from longpoint.drawing.paper.outlines import area_of, frame_outlines, part_marks, part_outline
from longpoint.drawing.words.voice import voice_of
from longpoint.export.shapes.dxf import dxf_of
from longpoint.frame import parts_of


def _read(data: bytes):  # type: ignore[no-untyped-def]
    document = ezdxf.read(io.StringIO(data.decode("utf-8")))
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    return document


def test_a_frame_opens_without_repair_and_every_member_is_a_closed_outline() -> None:
    frame = frame_of(1707, 1193)
    document = _read(dxf_of(frame_outlines(frame)))
    outlines = document.modelspace().query('LWPOLYLINE[layer=="outline"]')
    assert len(outlines) == len(frame.members) == 11
    assert all(outline.closed for outline in outlines)
    assert document.units == ezdxf.units.MM


def test_kinds_of_objects_stand_in_an_order_that_no_run_changes() -> None:
    document = _read(dxf_of(frame_outlines(frame_of(1707, 1193))))
    kinds = [kind.dxf.name for kind in document.classes]
    used = {entity.dxftype() for entity in document.entitydb.values()} & {*kinds}
    assert kinds[: len(used)] == sorted(used)  # the library alone takes them from a set


def test_dimensions_measure_what_they_say() -> None:
    document = _read(dxf_of(frame_outlines(frame_of(1707, 1193))))
    measured = sorted(dim.get_measurement() for dim in document.modelspace().query("DIMENSION"))
    assert measured == pytest.approx([1193.0, 1707.0], abs=1e-6)


def test_a_part_reads_back_as_it_was_written() -> None:
    frame = frame_of(1707, 1193)
    part = parts_of(frame, work="x", code="A", how_many=3)[0]
    document = _read(dxf_of(part_marks(part, frame.design, say=voice_of("en"))))
    outline, section = document.modelspace().query('LWPOLYLINE[layer=="outline"]')
    assert [tuple(p[:2]) for p in outline.get_points()] == [
        pytest.approx(corner, abs=1e-9) for corner in part_outline(part)
    ]
    points = [tuple(p[:2]) for p in section.get_points()]
    # bar 21 x 44, bevel falling 5 beside a flat of 2: 21 * 44 - 19 * 5 / 2, less the eased lip, 2² (1 - π/4)
    assert area_of(points) == pytest.approx(21 * 44 - 19 * 5 / 2 - 4 * (1 - math.pi / 4), abs=0.05)
    lines = document.modelspace().query('LINE[layer=="pencil"]')
    assert len(lines) == 2 * len(part.marks)


def test_layers_are_named_by_meaning_and_marks_keep_theirs() -> None:
    marks = (
        Line((0, 0), (10, 3), Layer.HIDDEN),
        Polyline(((0, 0), (3, 1), (9, 9)), Layer.CLOTH),
        Circle((3, 4), 2, Layer.SCREW),
        Arc((0, 0), 5, 0.3, 1.1, Layer.EDGE),
        Text((1, 2), "Ärmel ½ → 漢", 7.0, "middle", "top", 0.4, layer=Layer.NOTE),
    )
    document = _read(dxf_of(marks))
    kinds = [(entity.dxftype(), entity.dxf.layer) for entity in document.modelspace()]
    assert kinds == [
        ("LINE", "hidden"),
        ("LWPOLYLINE", "cloth"),
        ("CIRCLE", "screw"),
        ("ARC", "edge"),
        ("TEXT", "note"),
    ]
    text = document.modelspace()[4]
    assert text.dxf.text == "Ärmel ½ → 漢"  # another program may have the signs that our fonts lack
    assert text.dxf.rotation == pytest.approx(math.degrees(0.4))


def test_equal_drawings_give_equal_bytes() -> None:
    assert dxf_of(frame_outlines(frame_of())) == dxf_of(frame_outlines(frame_of()))
