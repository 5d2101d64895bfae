"""Lettering is measured from the fonts; dimensions stand where technical drawing puts them."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longpoint.drawing.paper.dimensions import Station, linear, readable, running, spread
from longpoint.drawing.paper.extent import box_of, box_of_all, overlaps
from longpoint.drawing.paper.hatching import hatch
from longpoint.drawing.paper.lettering import MISSING, broken, fitted, shown, unknown_signs, width_of
from longpoint.drawing.paper.marks import Layer, Line, Polygon, Shift, Text, moved, plain, rectangle


def test_a_line_is_as_long_as_its_signs_together() -> None:
    # advance widths of Source Sans Pro Regular, read from its hmtx table: H 652, a 504, m 829; capitals 660 of 1000
    assert width_of("Ham", height=6.6) == pytest.approx((652 + 504 + 829) / 1000 * 10, rel=1e-9)
    assert width_of("1707", height=3.0, weight="bold") > width_of("1707", height=3.0)


def test_signs_that_no_font_has_are_replaced_by_one_that_is_seen() -> None:
    assert shown("Hafen 漢字 ½") == f"Hafen {MISSING}{MISSING} ½"
    assert unknown_signs("漢 שלום ж 漢") == ("漢", "ש", "ל", "ו", "ם")
    assert width_of("漢", height=3.0) > 1.0


@pytest.mark.parametrize(
    "words", ["Ångström", "Жар-птица", "Ωμέγα", "हिन्दी", "47 1/4 in", "⅝″ × 2′", "a → b"]
)
def test_the_scripts_of_both_fonts_are_kept(words: str) -> None:
    assert shown(words) == words


def test_a_missing_font_is_said_with_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    from longpoint.drawing.paper import lettering

    monkeypatch.setattr(lettering.font_source_sans_pro, "__file__", "/nowhere/__init__.py")
    with pytest.raises(lettering.FontMissingError, match=r"SourceSansPro-Bold\.ttf.*font-source-sans-pro"):
        lettering.font_files()


def test_line_breaks_and_hidden_signs_do_not_reach_the_sheet() -> None:
    assert shown("two\nlines\tand\u202ea turn\u200b") == "two lines anda turn"


def test_words_are_shortened_only_where_they_must_be() -> None:
    assert fitted("Slack water", width=60, height=3.0) == "Slack water"
    short = fitted("The long way round the harbour", width=30, height=3.0)
    assert short.endswith("…")
    assert width_of(short, height=3.0) <= 30
    lines = broken("The long way round the harbour", width=30, height=3.0)
    assert " ".join(lines) == "The long way round the harbour"
    assert all(width_of(line, height=3.0) <= 30 for line in lines)


@pytest.mark.parametrize("turn", np.linspace(-7, 7, 29))
def test_figures_read_from_below_or_from_the_right(turn: float) -> None:
    turned = readable(float(turn))
    assert -math.pi / 2 < turned <= math.pi / 2 + 1e-9
    assert math.isclose(math.sin(2 * turned), math.sin(2 * turn), abs_tol=1e-9)


@given(
    st.lists(st.floats(0, 300), min_size=1, max_size=14).map(sorted),
    st.floats(0.5, 12),
)
@settings(max_examples=60, deadline=None)
def test_spread_places_never_come_nearer_than_their_sizes(wanted: list[float], size: float) -> None:
    places = spread(wanted, [size] * len(wanted))
    assert all(b - a >= size - 1e-9 for a, b in pairwise(places))
    # the sum of moves is zero: nothing is pushed one way
    assert math.fsum(places) == pytest.approx(math.fsum(wanted), abs=1e-6)


@pytest.mark.slow
def test_spread_moves_as_little_as_a_least_squares_solver() -> None:
    from scipy.optimize import minimize

    wanted, sizes = [3.0, 4.0, 4.5, 19.0, 20.0], [4.0, 7.0, 3.0, 5.0, 5.0]
    gaps = [(a + b) / 2 for a, b in pairwise(sizes)]
    found = minimize(
        lambda x: float(np.sum((x - wanted) ** 2)),
        np.array([0.0, 8.0, 16.0, 24.0, 32.0]),
        constraints=[
            {"type": "ineq", "fun": lambda x, i=i, g=g: x[i + 1] - x[i] - g} for i, g in enumerate(gaps)
        ],
    )
    assert spread(wanted, sizes) == pytest.approx(list(found.x), abs=1e-4)


def test_spread_keeps_between_two_ends_where_there_is_room() -> None:
    places = spread([1.0, 2.0, 58.0], [10.0, 10.0, 10.0], between=(0.0, 60.0))
    assert places == pytest.approx([5.0, 15.0, 55.0])


def test_a_dimension_knows_what_it_measures_and_writes_above_its_line() -> None:
    dim = linear((0, 0), (60, 0), offset=-9, words="600")
    assert (dim.start, dim.end) == ((0, 0), (60, 0))
    (text,) = [mark for mark in dim.marks if isinstance(mark, Text)]
    assert text.at[1] > -9
    assert text.turn == 0
    up = linear((0, 0), (0, 60), offset=9, words="600")
    (text,) = [mark for mark in up.marks if isinstance(mark, Text)]
    assert text.turn == pytest.approx(math.pi / 2)
    assert text.at[0] < -9


@pytest.mark.parametrize("span", [0.7, 2.0, 5.0, 7.9, 8.1, 12.0, 40.0])
def test_a_dimension_is_readable_however_short(span: float) -> None:
    dim = linear((0, 0), (span, 0), offset=8, words="1234.5")
    assert overlaps([dim]) == ()


def test_running_dimensions_start_from_one_ring_and_stay_readable_when_crowded() -> None:
    stations = [
        Station(at, f"{at * 20:g}", strong=bool(i % 2))
        for i, at in enumerate([1.05, 2.1, 30, 31.05, 31.5, 58])
    ]
    marks = running((0, 0), stations, along=(1, 0), away=(0, 1), offset=6)
    assert overlaps(marks) == ()
    words = [mark.words for mark in marks if isinstance(mark, Text)]
    assert words == ["0", "21", "42", "600", "621", "630", "1160"]


def test_hatching_stays_inside_a_shape_with_a_bay() -> None:
    outline = [(0, 0), (30, 0), (30, 20), (20, 20), (20, 7), (11, 7), (11, 20), (0, 20)]
    lines = hatch(outline, pitch=1.3)
    from shapely import LineString
    from shapely import Polygon as Shape

    shape = Shape(outline)
    assert len(lines) > 20
    assert all(shape.buffer(1e-6).covers(LineString([line.start, line.end])) for line in lines)
    # the lines' length times their distance is the area
    length = math.fsum(math.dist(line.start, line.end) for line in lines)
    assert length * 1.3 == pytest.approx(shape.area, rel=0.03)


def test_the_measure_sees_words_over_words_crossed_off_and_small() -> None:
    words = [Text((0, 0), "Ferrymn", 3.0), Text((3, 0.5), "Slip", 3.0), Text((100, 0), "x", 2.0)]
    line = Line((-5, 1), (40, 1), Layer.OUTLINE)
    kinds = {clash.kind for clash in overlaps([*words, line], within=box_of(words[0]))}
    assert kinds == {"over", "crossed", "off", "small"}
    tone = rectangle((2, -2), (8, 6), fill=0.9)
    under = [Text((0, 0), "Ferrymn", 3.0), tone]
    assert [clash.kind for clash in overlaps(under, lines=False)] == ["covered"]
    assert overlaps(reversed(under), lines=False) == ()
    assert [clash.other for clash in overlaps([tone], within=box_of(words[0]))] == ["outline"]
    assert overlaps([Text((0, 0), "Ferrymn", 3.0), Line((-5, 12), (40, 12))]) == ()
    assert overlaps([Text((0, 0), "Ferrymn", 3.0, backed=True), line]) == ()


def test_a_turned_text_is_measured_turned() -> None:
    upright = Text((0, 0), "Ferrymn", 3.0, turn=math.pi / 2)
    level = Text((0, 0), "Ferrymn", 3.0)
    a, b = box_of(upright), box_of(level)
    assert (a.width, a.height) == pytest.approx((b.height, b.width))
    slanted = Text((0, 0), "Ferryman Ferryman", 3.0, turn=math.pi / 4)
    corner = Text((14, 1), "x", 2.5)  # in the slanted text's upright box, not in its own
    assert overlaps([slanted, corner]) == ()


@given(st.floats(-9, 9), st.floats(-9, 9), st.floats(0.1, 5), st.floats(-3, 3))
@settings(max_examples=40, deadline=None)
def test_moving_marks_moves_their_distances_alike(x: float, y: float, scale: float, turn: float) -> None:
    marks = (Line((1, 2), (4, 6)), Polygon(((0, 0), (3, 0), (3, 4))), Text((0, 0), "a", 3.0))
    line, polygon, text = moved(marks, Shift((x, y), scale, turn))
    assert isinstance(line, Line)
    assert isinstance(polygon, Polygon)
    assert isinstance(text, Text)
    assert math.dist(line.start, line.end) == pytest.approx(5 * scale)
    assert math.dist(polygon.points[0], polygon.points[2]) == pytest.approx(5 * scale)
    assert text.height == pytest.approx(3 * scale)


def test_an_empty_drawing_has_an_empty_box() -> None:
    box = box_of_all([])
    assert (box.width, box.height) == (0, 0)
    assert list(plain([])) == []


def test_no_line_is_broken_between_thousands_and_every_other_gap_is_plain() -> None:
    assert shown("at most 1\u202f010\u00a0N/m\n of\u2028it ") == "at most 1\u00a0010\u00a0N/m of it"
