"""No label over another, none off the edge, none too small: measured on every drawing that is made."""

from __future__ import annotations

import tomllib
from importlib.resources import files

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point as Spot
from shapely import Polygon as Shape

from export.frames import design_of, frame_of
from longpoint.costing.buying import Told
from longpoint.drawing.paper.extent import Box, overlaps, text_corners
from longpoint.drawing.paper.labels import Wanted, place_labels
from longpoint.drawing.paper.marks import Layer, Line, Polygon, Text
from longpoint.drawing.views.frame import back_view, front_view
from longpoint.drawing.views.rods import rod_view
from longpoint.drawing.views.section import section_view
from longpoint.drawing.views.work import work_view
from longpoint.drawing.words.own_words import (
    caution_words,
    pack_words,
    product_words,
    remark_words,
    section_words,
    thing_words,
)
from longpoint.drawing.words.voice import Voice, catalogue, languages, placeholders, voice_of
from longpoint.errors import Caution, FaultsError
from longpoint.frame import parts_of
from longpoint.units import LengthStyle

METRIC = voice_of("en")
INCHES = voice_of("en", LengthStyle("in", 16))
GERMAN = voice_of("de", LengthStyle("cm"))


@given(
    st.lists(st.tuples(st.floats(2, 98), st.floats(2, 58), st.integers(1, 12)), min_size=1, max_size=12),
)
@settings(max_examples=25, deadline=None)
def test_labels_never_cover_each_other(points: list[tuple[float, float, int]]) -> None:
    wanted = [Wanted((x, y), "m" * n, height=2.5) for x, y, n in points]
    lines = [Line((0, 30), (100, 30)), Line((50, 0), (50, 60))]
    placed = place_labels(wanted, among=lines)
    assert not [clash for clash in overlaps(placed, lines=False) if clash.kind == "over"]
    assert sum(isinstance(mark, Text) for mark in placed) == len(wanted)


def test_labels_stay_inside_the_edge_where_there_is_room() -> None:
    edge = Box(0, 0, 60, 40)
    wanted = [Wanted((x, y), "corner", height=2.5) for x in (1, 59) for y in (1, 39)]
    placed = place_labels(wanted, within=edge)
    assert overlaps(placed, within=edge) == ()


@pytest.mark.slow
@pytest.mark.parametrize("say", [METRIC, INCHES, GERMAN], ids=["mm", "in", "de"])
@pytest.mark.parametrize(
    ("width", "height", "rails"),
    [(1707, 1193, 2), (613, 2289, 3), (211, 167, 0), (3011, 1907, 5), (907, 903, 1), (251, 2403, 4)],
)
def test_every_drawing_of_a_work_is_readable(say: Voice, width: int, height: int, rails: int) -> None:
    frame = frame_of(width, height, rails=rails, middle=rails > 0, end_rails=rails > 0)
    parts = parts_of(frame, work="x", code="AB", how_many=2)
    views = [
        front_view(frame, say=say, room=(180, 110)),
        back_view(frame, parts, say=say, room=(180, 120)),
        section_view(frame, say=say, room=(180, 110), turnover=70),
        *(rod_view(part, say=say, width=180) for part in parts),
    ]
    for view in views:
        assert overlaps(view.marks, within=view.edge) == (), view.name
        assert view.width <= 182 + 1e-6
    assert views[0].height <= 112
    assert views[1].height <= 122


@pytest.mark.parametrize(("width", "height"), [(1707, 1193), (613, 2289), (211, 167), (3011, 1907)])
@pytest.mark.parametrize("room", [(120.0, 100.0), (109.0, 92.0)])
def test_every_mark_stands_on_its_own_timber_and_the_view_keeps_to_its_room(
    width: int, height: int, room: tuple[float, float]
) -> None:
    frame = frame_of(width, height, rails=3 if max(width, height) > 1500 else 0)
    parts = parts_of(frame, work="x", code="AB", how_many=2)
    view = work_view(frame, parts, say=INCHES, room=room)
    assert view.width <= room[0] + 0.1
    assert view.height <= room[1] + 0.1
    timbers = [mark for mark in view.marks if isinstance(mark, Polygon) and mark.layer is Layer.OUTLINE]
    names = {part.mark for part in parts}
    marks = [mark for mark in view.marks if isinstance(mark, Text) and mark.words in names]
    assert len(marks) == len(frame.members)
    covered = set()
    for mark in marks:
        own = [n for n, timber in enumerate(timbers) if Shape(timber.points).contains(Spot(mark.at))]
        assert len(own) == 1, mark.words
        covered |= set(own)
        corners = Shape(text_corners(mark, border=0.0))
        others = [Shape(timber.points) for n, timber in enumerate(timbers) if n != own[0]]
        assert all(corners.intersection(other).area < 1.5 for other in others), mark.words
    assert len(covered) == len(frame.members)  # no timber bears two marks


def test_every_rail_is_written_from_the_reference_end_on_the_sheet_of_its_work() -> None:
    frame = frame_of(1707, 1193)
    view = work_view(frame, (), say=METRIC, room=(120.0, 80.0))
    words = {mark.words for mark in view.marks if isinstance(mark, Text)}
    for rail in frame.members:
        if rail.kind.value == "cross rail":
            assert METRIC.place(rail.low) in words
    assert {"0", "1707", "1193"} <= words
    assert METRIC.place(566.67) == "567"
    assert METRIC.place(589.5) == "589.5"


def test_rail_places_are_written_from_one_reference_end() -> None:
    frame = frame_of(1707, 1193)
    view = back_view(frame, say=METRIC, room=(180, 120))
    words = {text.words for mark in view.marks for text in [mark] if isinstance(text, Text)}
    for rail in frame.members:
        if rail.kind.value in ("cross rail", "end rail"):
            assert METRIC.fine(rail.low) in words
            assert METRIC.fine(rail.high) in words
    assert {"0", "1707", "1193"} <= words


def test_the_back_is_the_mirror_of_the_front() -> None:
    from longpoint.drawing.paper.projection import projection_of

    frame = frame_of(1707, 1193)
    front = projection_of(frame, scale=0.1, seen="front")
    back = projection_of(frame, scale=0.1, seen="back")
    assert front.point(100, 40) == pytest.approx((10, 4))
    assert back.point(100, 40) == pytest.approx((160.7, 4))


def test_every_language_says_everything_with_the_same_values() -> None:
    english = catalogue("en")
    assert len(languages()) >= 2
    for language in languages():
        other = catalogue(language)
        assert sorted(other) == sorted(english), language
        for key, text in other.items():
            # a translation may leave a value out (a caution told in English), never ask for more
            assert placeholders(text) <= placeholders(english[key]), (language, key)


def test_no_text_is_left_in_english_in_another_language() -> None:
    english = catalogue("en")

    def own_words(text: str) -> int:
        return sum(word.isalpha() for word in text.split())

    german = catalogue("de")
    same = [key for key, text in german.items() if text == english[key] and own_words(text) > 2]
    assert same == []


def test_a_translator_may_send_one_file_and_hears_of_all_its_faults() -> None:
    say = voice_of("nl", own='[side]\nleft = "links"\n[sheet]\npage-of = "{page} van {pages}"\n')
    assert say("side.left") == "links"
    assert say("side.right") == "right"
    with pytest.raises(FaultsError) as caught:
        voice_of("nl", own='[side]\nlefft = "links"\n[sheet]\npage-of = "{sheet} van {pages}"\ncaution="{"\n')
    assert [fault.code for fault in caught.value.faults] == ["unknown-text", "bad-text", "bad-text"]
    with pytest.raises(FaultsError, match="no texts in the language 'xx'"):
        voice_of("xx")
    with pytest.raises(FaultsError, match="not TOML"):
        voice_of("xx", own="[side")


def test_the_engines_english_is_said_in_the_readers_language() -> None:
    board = Told("board", (("timber", "redwood 21 x 44: boardwalk"), ("length", "2400.5 mm")))
    assert thing_words(board, GERMAN) == "redwood 21 x 44: boardwalk, 2400,5 mm lang"
    assert thing_words(board, METRIC) == "redwood 21 x 44: boardwalk, 2400.5 mm long"
    assert pack_words(Told("box", (("count", "200"),)), GERMAN) == "Schachtel zu 200"
    assert pack_words(Told("board"), GERMAN, many=True) == "Bretter"
    assert remark_words(Told("shop", (("region", "Europe"),)), GERMAN).endswith(
        "gewöhnlicher Laden in Europa"
    )
    assert section_words("bars and rails 19.05 × 38 mm", GERMAN) == "Leisten und Stege 19,05 × 38 mm"
    assert section_words("the boards of bars", GERMAN) == "the boards of bars"  # a name that somebody gave
    assert product_words("softwood 21 × 44 mm", GERMAN) == "Nadelholz 21 × 44 mm"
    assert product_words("boards and rails", GERMAN) == "boards and rails"
    known = Caution("bare-mitre", about="all works")
    assert caution_words(known, GERMAN).startswith("alle Werke: Diese Gehrungen")
    assert caution_words(known, METRIC).startswith("all works: Nothing but end-grain glue")
    assert caution_words(Caution("not-known", what="Said in English."), GERMAN) == "Said in English."


def test_catalogue_files_are_toml_of_plain_texts() -> None:
    def only_texts(table: dict[str, object]) -> bool:
        return all(
            isinstance(value, str) or (isinstance(value, dict) and only_texts(value))
            for value in table.values()
        )

    for language in languages():
        for file in (files("longpoint.drawing") / "words" / language).iterdir():
            assert only_texts(tomllib.loads(file.read_text(encoding="utf-8"))), file.name


def test_lengths_are_said_in_the_readers_system() -> None:
    assert METRIC.length(1193) == "1193"
    assert INCHES.length(1193) == "46 15/16"
    assert INCHES.part(1193) == "47"  # 46.9685 in: a part is rounded up to the sixteenth, never short
    assert GERMAN.fine(566.7) == "56,67"


def test_a_design_without_rails_has_a_section_without_a_gap() -> None:
    frame = frame_of(211, 167, rails=0, middle=False, end_rails=False)
    words = [m.words for m in section_view(frame, say=METRIC, room=(180, 110)).marks if isinstance(m, Text)]
    assert not any("gap" in word for word in words)
    assert design_of(211, 167, rails=0, middle=False, end_rails=False).has_rails is False
