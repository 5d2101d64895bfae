"""Works longer than a board and wider than a door, from the batch file to boards, screws, bolts and sheets."""

from __future__ import annotations

import json
from collections import Counter
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.choosing.designs import longest_boards
from longpoint.cutting import check_board_plan
from longpoint.drawing.paper.pages import Paragraph
from longpoint.drawing.sheets.saw_pages import saw_pages
from longpoint.drawing.words.voice import voice_of
from longpoint.errors import FaultsError
from longpoint.export.packs.pack_of import pack_of
from longpoint.export.packs.reasons_of import reasons_of
from longpoint.export.results import bores_of, paper_named
from longpoint.export.rows.money import buy_row
from longpoint.export.rows.plan import parse_plan, plan_json
from longpoint.export.shapes.solids import frame_solids
from longpoint.export.tables import buying_rows
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.joinery.referee import check_build_plan
from longpoint.model.reading import parse_batch
from longpoint.works.brief import briefs_of

LONG_WALL = (Path(__file__).parents[2] / "examples" / "long-wall.toml").read_text(encoding="utf-8")
F = Fraction


@cache
def long_wall() -> Plan:
    return plan_batch(parse_batch(LONG_WALL), choose=design_of)


def stated(work: str, *, bars: str = "", inside: str = "cross_rails = 5", lengths: str = "[3000]") -> str:
    """One work of 23 × 57 timber; the yard's lengths as given."""
    return f"""
[bars]
thickness = 23
depth = 57
{bars}
[inside]
thickness = 23
depth = 36
{inside}
{work}
[[yard]]
name = "bars"
thickness = 23
depth = 57
serves = ["bars"]
lengths = {lengths}
[[yard]]
name = "rails"
thickness = 23
depth = 36
serves = ["rails"]
lengths = [2400, 3000]
"""


WORK = '[[work]]\nname = "Mole"\nwidth = 5300\nheight = 1700\n'


def faults_of(text: str) -> list[tuple[str, str, str]]:
    """What stands against exactly what is stated."""
    with pytest.raises(FaultsError) as caught:
        plan_batch(parse_batch("as_stated = true\n" + text), choose=design_of)
    return [(fault.code, fault.where.key, fault.remedy) for fault in caught.value.faults]


@pytest.mark.slow
def test_every_piece_is_cut_at_its_full_length_from_boards_that_are_too_short_for_the_bar() -> None:
    plan = long_wall()
    wanted = Counter({part.mark: part.how_many for work in plan.works for part in work.parts})
    cuts = [cut for section in plan.boards for board in section.plan.boards for cut in board.cuts]
    assert Counter(cut.part for cut in cuts) == wanted
    length = {part.mark: part.long_point for work in plan.works for part in work.parts}
    assert all(cut.end - cut.start >= length[cut.part] * 10**6 for cut in cuts)
    assert all(check_board_plan(section.problem, section.plan) == () for section in plan.boards)
    assert max(board.length for section in plan.boards for board in section.plan.boards) == 3000 * 10**6
    # by hand: 5400 and a scarf of 8 · 24 = 192 in both; 5160 and a lap of 3 · 58 = 174; 4360 sawn through
    assert length["A1"] + length["A2"] == 5592
    assert length["B1"] + length["B2"] == 5334
    assert {length[mark] for mark in ("C1", "C2", "C3", "C4")} == {2180}


@pytest.mark.slow
def test_the_referee_of_building_agrees_and_screws_and_bolts_are_on_the_list() -> None:
    plan = long_wall()
    listed: Counter[str] = Counter()
    for line in plan.buying:
        listed[buy_row(line).what] += int(line.need - line.spare)
    for work in plan.works:
        assert check_build_plan(work.frame, work.build, drill=plan.batch.shop.drill) == ()
    taken = Counter(
        fixing.screw.name for work in plan.works for joint in work.build.joints for fixing in joint.fixings
    )
    copies = {work.name: work.how_many for work in plan.works}
    for hung in plan.hung:
        for fixing in hung.fixings:
            taken[fixing.screw.name] += copies[hung.work]
    assert {name: listed[name] for name in taken} == dict(taken)
    bolts = [bolt for work in plan.works for joint in work.build.joints for bolt in joint.bolts]
    assert listed["bolt M6 × 60 mm"] == listed["nut M6"] == len(bolts) == 6
    assert listed["large washer M6"] == 12
    assert listed["dowel 8 × 60 mm"] == 2
    assert any("bolt M6" in str(row[1]) for row in buying_rows(plan))


@pytest.mark.slow
def test_solids_of_pieces_plates_and_halves_hold_as_much_wood_as_the_parts() -> None:
    for work in long_wall().works:
        solids = frame_solids(work.build.frame)
        parts = sum(float(part.volume) * part.per_work for part in work.parts)
        assert sum(solid.volume for solid in solids) == pytest.approx(parts, rel=1e-9)
        bored = frame_solids(work.build.frame, bores=bores_of(work.build))
        assert {solid.name for solid in bored} == {solid.name for solid in solids}
        assert sum(solid.volume for solid in bored) < parts


@pytest.mark.slow
def test_the_plan_file_carries_joins_and_seam() -> None:
    text = plan_json(long_wall())
    works = json.loads(text)["works"]
    assert [join["bar"] for join in works[0]["joins"]] == ["bottom bar", "top bar"]
    assert works[1]["joins"][0]["plate"] == [294, 38]
    assert [work["seam"] for work in works] == [None, None, 2180]
    assert {part["hand"] for part in works[0]["parts"] if part["overlap"]} == {"left", "right"}
    assert next(row["name"] for row in works[2]["build"]["hardware"]) == "bolt M6 × 60 mm"
    assert parse_plan(text).works[2].seam == 2180


@pytest.mark.slow
def test_the_saw_page_says_what_the_saw_does_at_ends_that_are_not_alike() -> None:
    plan = long_wall()
    parts = [part for work in plan.works for part in work.parts]
    say = voice_of("en", plan.batch.style)
    bars = plan.boards[0]
    first, _ = saw_pages(bars.plan, bars.problem, say=say, paper=paper_named("A4"), parts=parts)
    said = " ".join(block.words for block in first.blocks if isinstance(block, Paragraph))
    assert "C1 (2180): the end at your right, swing left" in said
    assert "C3 (2180): the end at your left, swing right" in said
    assert "**Ends to be joined in length** (A1, A2, B1, B2)" in said


@pytest.mark.slow
@pytest.mark.parametrize("language", ["en", "de"])
def test_sheets_say_joins_and_seam_in_the_readers_language(language: str) -> None:
    plan = long_wall()
    say, paper = voice_of(language, plan.batch.style), paper_named("A4")
    pack, reasons = pack_of(plan, say=say, paper=paper), reasons_of(plan, say=say, paper=paper)
    said = repr(pack) + repr(reasons)
    for words in {
        "en": ("The day before: join the bars in length", "Half 2: ", "seam of the halves", "Joined bars"),
        "de": ("Am Tag davor: Leisten verlängern", "Hälfte 2: ", "Naht der Hälften", "Verlängerte Leisten"),
    }[language]:
        assert words in said
    if language == "de":
        assert "Bolt the two halves" not in said
        assert "Leiste unten, Hälfte 1" in said


def test_a_bar_longer_than_all_boards_hears_of_joins_and_halves() -> None:
    (one,) = faults_of(stated(WORK, bars='join = "none"', inside="cross_rails = 5\nmiddle_pieces = false"))
    assert one[:2] == ("no-board-gives", "work[1].width")
    assert 'bars.join = "scarf"' in one[2]
    assert "inside.in_halves = true" in one[2]


def test_boards_that_are_too_short_are_said_for_every_bar_at_once() -> None:
    found = faults_of(stated(WORK, bars='join = "scarf"', lengths="[1000]"))
    long_bars = [(code, key, remedy) for code, key, remedy in found if key == "work[1].width"]
    assert [code for code, _, _ in long_bars] == ["boards-too-short"] * 2
    # (5300 + 5 · 8 · 23) / 6 = 1036.7, and more where the rails lie
    assert "Find boards of 1127 mm or more" in long_bars[0][2]


def test_two_boards_that_meet_over_a_rail_are_three() -> None:
    batch = parse_batch("as_stated = true\n" + stated(WORK, bars='join = "scarf"', lengths="[2780]"))
    found = design_of(briefs_of(batch)[0])
    assert not isinstance(found, tuple)
    assert [len(found.design.joins_of(side)) for side in ("bottom", "top")] == [2, 2]


def test_a_join_without_a_place_clear_of_rails_is_refused() -> None:
    inside = "cross_rails = 16\nmiddle_pieces = false"
    found = faults_of(stated(WORK, bars='join = "scarf"', inside=inside, lengths="[2780]"))
    assert [code for code, _, _ in found] == ["no-place-for-join"] * 2


def test_everything_against_halves_is_said_together() -> None:
    inside = 'cross_rails = 3\nin_halves = true\nend_rails = "all"\ncrossing = "halved"\nmiddle_pieces = true'
    found = faults_of(stated(WORK, inside=inside, lengths="[6000]"))
    assert [(code, key) for code, key, _ in found] == [
        ("end-rail-over-seam", "work[1].inside.end_rails"),
        ("halved-over-seam", "work[1].inside.crossing"),
    ]
    small = WORK.replace("5300", "380").replace("1700", "340")
    found = faults_of(stated(small, inside='cross_rails = 1\nin_halves = true\nend_rails = "none"'))
    assert ("no-room-for-seam", "work[1].inside.cross_rails") in [(code, key) for code, key, _ in found]


def test_a_word_that_is_no_join_is_refused_where_it_stands() -> None:
    with pytest.raises(FaultsError) as caught:
        parse_batch(stated(WORK, bars='join = "glue"'))
    assert caught.value.faults[0].where.key == "bars.join"


def test_an_even_number_of_rails_is_raised_so_that_both_halves_are_alike() -> None:
    for count, lines in ((0, 2), (1, 2), (2, 4), (3, 4), (4, 6)):
        text = stated(WORK, inside=f"cross_rails = {count}\nin_halves = true\nmiddle_pieces = false")
        found = design_of(briefs_of(parse_batch(text))[0])
        assert not isinstance(found, tuple)
        assert len(found.design.cross_rails) == lines
        assert found.design.seam == 2650


def test_stated_centre_lines_keep_their_places_and_the_seam_lies_in_the_bay_nearest_the_middle() -> None:
    text = stated(
        WORK,
        inside="cross_rails = [1300, 2650, 4000]\nin_halves = true\nmiddle_pieces = false",
        lengths="[6000]",
    )
    found = design_of(briefs_of(parse_batch(text))[0])
    assert not isinstance(found, tuple)
    # beside the middle rail: 2650 − 11.5 − 23 − 150 = 2465.5, whole millimetres
    assert found.design.seam == 2465
    assert {1300, 2650, 4000} <= set(found.design.cross_rails)


def test_boards_at_hand_count_once_and_without_what_is_spoiled() -> None:
    text = (
        stated(WORK, bars='join = "scarf"')
        + """
[[rack]]
name = "long one"
thickness = 23
depth = 57
length = 4100
avoid = [{ start = 3900, stop = 4000 }]
"""
    )
    batch = parse_batch(text)
    found = design_of(briefs_of(batch)[0])
    assert not isinstance(found, tuple)
    trim = batch.shop.saw.end_trim
    assert longest_boards(batch.shop.saw, found.bars)[:2] == (3900 - trim, 3000 - 2 * trim)


def test_a_join_is_not_made_where_a_board_is_long_enough() -> None:
    found = design_of(briefs_of(parse_batch(stated(WORK, bars='join = "scarf"', lengths="[3000, 5400]")))[0])
    assert not isinstance(found, tuple)
    assert found.design.joins == ()


def test_end_rails_that_no_board_gives_are_not_planned_where_others_can_be() -> None:
    text = (
        'unit = "cm"\n[[work]]\nname = "Long"\nwidth = 264.6\nheight = 620\n'
        "[[yard]]\nthickness = 2.7\ndepth = 6\nlengths = [270, 360]\n"
    )
    found = design_of(briefs_of(parse_batch(text))[0])
    assert not isinstance(found, tuple)
    assert not set(found.design.end_rails) & {"left", "right"}
    assert {join.side for join in found.design.joins} == {"left", "right"}
