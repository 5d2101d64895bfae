"""Drawings as SVG 1.1: marks in, text out, the same text for the same marks.

Millimetres throughout: the picture is as large as the view's edge, and one unit inside is one millimetre of
paper. The y axis, which runs up in a drawing, is turned on the way out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import TypeAlias
from xml.sax.saxutils import escape, quoteattr

from longpoint.drawing.paper.extent import text_corners
from longpoint.drawing.paper.lettering import FAMILIES, WEIGHTS, shown, type_size
from longpoint.drawing.paper.marks import (
    Arc,
    Circle,
    Line,
    Mark,
    Pen,
    Plain,
    Point,
    Polygon,
    Polyline,
    Text,
    pen_of,
    plain,
)
from longpoint.drawing.paper.view import View

_FAMILY = ", ".join(f"'{name}'" if " " in name else name for name in FAMILIES) + ", sans-serif"
_Place: TypeAlias = Callable[[Point], Point]
_ANCHOR = {"start": "start", "middle": "middle", "end": "end"}


def svg_of(view: View, *, title: str = "", standalone: bool = True) -> str:
    """A view as an SVG document.

    Args:
        view: The drawing.
        title: Name for readers aloud and for file lists; the view's own title if not given.
        standalone: Whether the XML head stands before it; False for use inside another document.
    """
    edge = view.edge
    head = '<?xml version="1.0" encoding="UTF-8"?>\n' if standalone else ""
    lines = [
        f'{head}<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{_n(edge.width)}mm" '
        f'height="{_n(edge.height)}mm" viewBox="0 0 {_n(edge.width)} {_n(edge.height)}" '
        f'font-family="{_FAMILY}" stroke-linecap="round" stroke-linejoin="round">'
    ]
    if title or view.title:
        lines.append(f"<title>{escape(shown(title or view.title))}</title>")
    lines += _grouped(view.marks, edge.left, edge.top)
    lines.append("</svg>\n")
    return "\n".join(lines)


def _grouped(marks: Iterable[Mark], left: float, top: float) -> list[str]:
    """One element per mark, neighbours of one layer in one group."""

    def place(point: Point) -> Point:
        return (point[0] - left, top - point[1])

    lines: list[str] = []
    layer = None
    for mark in plain(marks):
        if mark.layer is not layer:
            if layer is not None:
                lines.append("</g>")
            layer = mark.layer
            lines.append(f'<g class="{layer.value}">')
        lines.append(_element(mark, place))
    if layer is not None:
        lines.append("</g>")
    return lines


def _element(mark: Plain, place: _Place) -> str:
    if isinstance(mark, Text):
        return _text(mark, place)
    stroke = _stroke(pen_of(mark))
    if isinstance(mark, Line):
        (x1, y1), (x2, y2) = place(mark.start), place(mark.end)
        return f'<line x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"{stroke}/>'
    if isinstance(mark, Polyline):
        return f'<polyline points="{_points(mark.points, place)}" fill="none"{stroke}/>'
    if isinstance(mark, Polygon):
        line = stroke if mark.drawn else ""
        return f'<polygon points="{_points(mark.points, place)}" fill="{_tone(mark.fill)}"{line}/>'
    if isinstance(mark, Circle):
        x, y = place(mark.centre)
        return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(mark.radius)}" fill="{_tone(mark.fill)}"{stroke}/>'
    return f'<path d="{_arc(mark, place)}" fill="none"{stroke}/>'


def _arc(mark: Arc, place: _Place) -> str:
    def at(angle: float) -> Point:
        return place(
            (mark.centre[0] + mark.radius * math.cos(angle), mark.centre[1] + mark.radius * math.sin(angle))
        )

    (x1, y1), (x2, y2) = at(mark.start), at(mark.end)
    large = 1 if mark.end - mark.start > math.pi else 0
    radius = _n(mark.radius)
    return f"M{_n(x1)} {_n(y1)}A{radius} {radius} 0 {large} 0 {_n(x2)} {_n(y2)}"


def _text(mark: Text, place: _Place) -> str:
    x, y = place(mark.at)
    drop = {"foot": 0.0, "middle": mark.height / 2, "top": mark.height}[mark.upright]
    # The foot of the letters is moved square to the direction of writing.
    x += drop * math.sin(mark.turn)
    y += drop * math.cos(mark.turn)
    turn = -math.degrees(mark.turn)
    rotated = f' transform="rotate({_n(turn)} {_n(x)} {_n(y)})"' if abs(turn) > 1e-6 else ""
    weight = f' font-weight="{WEIGHTS[mark.weight]}"' if mark.weight != "regular" else ""
    backing = ""
    if mark.backed:
        corners = text_corners(mark, border=0.3)
        backing = f'<polygon points="{_points(corners, place)}" fill="#fff"/>'
    words = shown(mark.words)
    keep = ' xml:space="preserve"' if "  " in words else ""
    return (
        f'{backing}<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(type_size(mark.height))}" '
        f'text-anchor={quoteattr(_ANCHOR[mark.across])} fill="{_tone(mark.grey)}"{weight}{rotated}{keep}>'
        f"{escape(words)}</text>"
    )


def _stroke(pen: Pen) -> str:
    dashes = ""
    if pen.dashes:
        dashes = f' stroke-dasharray="{" ".join(_n(length) for length in pen.dashes)}"'
    return f' stroke="{_tone(pen.grey)}" stroke-width="{_n(pen.width)}"{dashes}'


def _points(points: Iterable[Point], place: _Place) -> str:
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in map(place, points))


def _tone(grey: float | None) -> str:
    if grey is None:
        return "none"
    level = round(255 * min(max(grey, 0.0), 1.0))
    return f"#{level:02x}{level:02x}{level:02x}"


def _n(value: float) -> str:
    """A number with at most four decimals; never ``-0``."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
