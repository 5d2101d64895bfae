"""Drawings as DXF (AutoCAD R2010 text format): layers by meaning, real size, closed outlines, true dimensions.

Every dimension is written as a dimension of the file format, measured by whoever opens it, not as loose lines.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

import ezdxf
from ezdxf import units
from ezdxf.enums import TextEntityAlignment

from longpoint.drawing.paper.marks import (
    PENS,
    Arc,
    Circle,
    Layer,
    Line,
    LineKind,
    Mark,
    Measure,
    Point,
    Polygon,
    Polyline,
    Text,
)

_LINETYPES: dict[LineKind, str] = {
    LineKind.CONTINUOUS: "CONTINUOUS",
    LineKind.DASHED: "DASHED",
    LineKind.CHAIN: "DASHDOT",
    LineKind.CHAIN_TWO_DOTS: "DIVIDE",
    LineKind.DOTTED: "DOT",
}

_STYLE = "LONGPOINT"

_ALIGNED = {
    ("start", "foot"): TextEntityAlignment.LEFT,
    ("middle", "foot"): TextEntityAlignment.CENTER,
    ("end", "foot"): TextEntityAlignment.RIGHT,
    ("start", "middle"): TextEntityAlignment.MIDDLE_LEFT,
    ("middle", "middle"): TextEntityAlignment.MIDDLE_CENTER,
    ("end", "middle"): TextEntityAlignment.MIDDLE_RIGHT,
    ("start", "top"): TextEntityAlignment.TOP_LEFT,
    ("middle", "top"): TextEntityAlignment.TOP_CENTER,
    ("end", "top"): TextEntityAlignment.TOP_RIGHT,
}


def dxf_of(marks: Iterable[Mark], *, letters: float = 12.0) -> bytes:
    """Marks at real size as a DXF file.

    Args:
        marks: In millimetres of the thing.
        letters: Height of dimension figures. [mm]
    """
    text = io.StringIO()
    with _without_a_clock():
        _document(marks, letters).write(text)
    return text.getvalue().encode("utf-8")


def _document(marks: Iterable[Mark], letters: float) -> Any:
    document = ezdxf.new("R2010", setup=["linetypes"], units=units.MM)
    for layer in Layer:
        pen = PENS[layer]
        document.layers.add(
            layer.value, linetype=_LINETYPES[pen.kind], lineweight=round(pen.width * 100), color=7
        )
    document.header["$LTSCALE"] = 10.0
    style = document.dimstyles.new(_STYLE)
    style.dxf.dimtxt = letters
    style.dxf.dimasz = letters * 0.8
    style.dxf.dimexo = letters * 0.3
    style.dxf.dimexe = letters * 0.5
    style.dxf.dimgap = letters * 0.3
    style.dxf.dimtad = 1
    style.dxf.dimdec = 2
    style.dxf.dimzin = 8
    space = document.modelspace()
    for mark in marks:
        _draw(space, mark)
    # The library would name the kinds of objects in the order of a set, which changes from run to run.
    for kind in sorted({entity.dxftype() for entity in document.entitydb.values()}):
        document.classes.add_class(kind)
    return document


@contextmanager
def _without_a_clock() -> Iterator[None]:
    """No moment of writing in the file, so that equal drawings give equal files."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _draw(space: Any, mark: Mark) -> None:
    on = {"layer": mark.layer.value}
    match mark:
        case Measure():
            _measure(space, mark, on)
        case Line():
            space.add_line(mark.start, mark.end, dxfattribs=on)
        case Polyline():
            space.add_lwpolyline(mark.points, dxfattribs=on)
        case Polygon():
            if mark.drawn:
                space.add_lwpolyline(mark.points, close=True, dxfattribs=on)
            else:
                space.add_solid(_four(mark), dxfattribs=on) if len(mark.points) <= 4 else None
        case Circle():
            space.add_circle(mark.centre, mark.radius, dxfattribs=on)
        case Arc():
            space.add_arc(
                mark.centre, mark.radius, math.degrees(mark.start), math.degrees(mark.end), dxfattribs=on
            )
        case Text():
            space.add_text(
                mark.words, height=mark.height, rotation=math.degrees(mark.turn), dxfattribs=on
            ).set_placement(mark.at, align=_ALIGNED[mark.across, mark.upright])


def _four(mark: Polygon) -> list[Point]:
    """Corners in the order that the format's filled shape wants: the last two change places."""
    points = list(mark.points)
    return points if len(points) < 4 else [points[0], points[1], points[3], points[2]]


def _measure(space: Any, mark: Measure, on: dict[str, str]) -> None:
    (x0, y0), (x1, y1) = mark.start, mark.end
    angle = math.degrees(math.atan2(y1 - y0, x1 - x0))
    length = math.hypot(x1 - x0, y1 - y0)
    try:
        says_its_length = abs(float(mark.words.replace(",", ".")) - length) < 0.6
    except ValueError:
        says_its_length = False
    space.add_linear_dim(
        base=mark.through,
        p1=mark.start,
        p2=mark.end,
        angle=angle,
        text="<>" if says_its_length else mark.words,
        dimstyle=_STYLE,
        dxfattribs=on,
    ).render()
