"""SVG: well-formed, as large as the view, the same text for the same marks, words made safe."""

from __future__ import annotations

import math
from xml.etree import ElementTree

import pytest

from longpoint.drawing.paper.marks import Arc, Circle, Layer, Line, Polygon, Polyline, Text
from longpoint.drawing.paper.view import view_of
from longpoint.export.shapes.svg import svg_of

_NS = {"s": "http://www.w3.org/2000/svg"}


def _tree(*marks: object) -> ElementTree.Element:
    return ElementTree.fromstring(svg_of(view_of("v", marks, border=0.0)))  # type: ignore[arg-type]


def test_the_picture_is_as_large_as_the_view_in_millimetres() -> None:
    view = view_of("v", [Line((0, 0), (61.25, 0)), Line((0, 0), (0, 33.5))], border=2.0)
    root = ElementTree.fromstring(svg_of(view))
    assert root.get("width") == f"{61.25 + 0.5 + 4:g}mm"  # the line's width and the border
    assert root.get("viewBox") == "0 0 65.75 38"


def test_up_in_a_drawing_is_up_on_the_screen() -> None:
    root = _tree(Line((0, 0), (10, 0)), Line((0, 30), (10, 30)))
    low, high = root.findall(".//s:line", _NS)
    assert float(low.get("y1", "")) > float(high.get("y1", ""))


def test_dashes_and_widths_follow_the_layer() -> None:
    root = _tree(Line((0, 0), (30, 0), Layer.HIDDEN), Line((0, 5), (30, 5), Layer.OUTLINE))
    hidden, outline = root.findall(".//s:line", _NS)
    # ISO 128-20 (from memory): a dash is 12 line widths, a gap 3
    assert hidden.get("stroke-dasharray") == "3 0.75"
    assert float(outline.get("stroke-width", "")) == 2 * float(hidden.get("stroke-width", ""))
    assert [group.get("class") for group in root.findall("s:g", _NS)] == ["hidden", "outline"]


def test_words_are_escaped_and_unknown_signs_seen() -> None:
    root = _tree(Text((0, 0), 'A & B <c> "d" 漢', 3.0))
    (text,) = root.findall(".//s:text", _NS)
    assert text.text == 'A & B <c> "d" \N{REPLACEMENT CHARACTER}'


def test_every_kind_of_mark_is_drawn() -> None:
    root = _tree(
        Polyline(((0, 0), (5, 5), (9, 0))),
        Polygon(((0, 0), (5, 5), (9, 0)), fill=0.5, drawn=False),
        Circle((3, 3), 2, fill=0.0),
        Arc((0, 0), 5, 0.2, math.pi),
        Text((1, 1), "x", 3.0, turn=0.5, backed=True),
    )
    tags = [element.tag.split("}")[1] for element in root.iter()]
    assert tags.count("polyline") == 1
    assert tags.count("polygon") == 2  # the shape, and the paper behind the words
    assert tags.count("circle") == 1
    assert tags.count("path") == 1
    assert tags.count("text") == 1


@pytest.mark.parametrize("upright", ["foot", "middle", "top"])
def test_words_hang_where_they_should(upright: str) -> None:
    mark = Text((0, 0), "H", 6.6, upright=upright)  # type: ignore[arg-type]
    frame = Line((-20, -20), (20, 20))
    root = _tree(frame, mark)
    (text,) = root.findall(".//s:text", _NS)
    foot = {"foot": 0.0, "middle": 3.3, "top": 6.6}[upright]
    assert float(text.get("y", "")) == pytest.approx(20.25 + foot, abs=1e-3)


def test_equal_views_give_equal_text() -> None:
    marks = [Line((0, 0.1234567), (10, 3)), Text((0, 0), "x", 3.0)]
    assert svg_of(view_of("v", marks)) == svg_of(view_of("v", marks))
    assert '-0"' not in svg_of(view_of("v", [Line((0, 0), (-1e-9, -1e-12))]))
