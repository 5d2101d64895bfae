"""Size and primer, cloth first, next time."""

from __future__ import annotations

import pytest

from longpoint.errors import OutOfRangeError
from longpoint.stretching.cloth_first import cloth_first
from longpoint.stretching.next_time import next_time
from longpoint.stretching.piece import Fastening, cloth_piece
from longpoint.stretching.primer import brushed_area, coat_amount, priming_plan
from longpoint.tables import coating
from longpoint.units import LengthStyle


def test_the_brushed_area_is_the_face_and_the_sides_if_wished():
    face = brushed_area(face_width=1907, face_height=1313, depth=43, sides_too=False)
    both = brushed_area(face_width=1907, face_height=1313, depth=43, sides_too=True)
    assert face == pytest.approx(1.907 * 1.313)
    assert both - face == pytest.approx(2 * (1.907 + 1.313) * 0.043)


def test_a_quart_of_glue_size_goes_as_far_as_the_practitioner_says():
    found = coat_amount(coating=coating("glue size"), area=5.1, coats=1)
    assert found.litres.low < 0.95 < found.litres.high  # practitioner forum: 0.95 L for 4.6-5.6 m²
    assert found.litres.low == pytest.approx(5.1 / 6)
    assert found.glue.middle == pytest.approx(70 * 5.1 / 5.5)  # 70 g in a litre: estimate


def test_the_tin_comes_before_the_table():
    found = coat_amount(coating=coating("acrylic primer"), area=2.7, coats=2, covers=7.3)
    assert found.litres.low == found.litres.middle == found.litres.high == pytest.approx(2 * 2.7 / 7.3)
    assert found.water.middle == pytest.approx(
        0.1 * 2.7 / 7.3
    )  # university worksheet: first coat thinned 10 %
    assert found.grams.middle == pytest.approx(1250 * 2 * 2.7 / 7.3)


@pytest.mark.parametrize(
    ("changes", "what"),
    [({"area": 0}, "Area must be above 0"), ({"coats": 0}, "Number of coats"), ({"covers": 0}, "Coverage")],
)
def test_amounts_of_nothing_are_refused(changes, what):
    with pytest.raises(OutOfRangeError, match=what):
        coat_amount(**{"coating": coating("acrylic primer"), "area": 2.7, **changes})


def priming(*names, raw=True):
    return priming_plan(coatings=[(coating(name), None, None) for name in names], area=2.7, raw=raw)


def test_coats_follow_each_other_crosswise_after_their_waits():
    found = priming("glue size", "acrylic primer")
    assert [(step.name, step.coat) for step in found.steps] == [
        ("glue size", 1),
        ("acrylic primer", 1),
        ("acrylic primer", 2),
        ("acrylic primer", 3),
    ]
    assert [step.direction for step in found.steps] == ["along the width", "along the height"] * 2
    assert [step.starts_from for step in found.steps] == [
        0,
        24,
        30,
        36,
    ]  # 24 h from memory, 6 h: university worksheet
    assert found.ready_after == (24 + 6 + 6 + 24, 48 + 6 + 6 + 72)
    assert found.added_mass.low < found.added_mass.middle < found.added_mass.high


def test_only_the_first_water_borne_coat_of_primer_is_thinned():
    steps = priming("acrylic primer").steps
    assert steps[0].text.startswith("Thin it with 10 % water")
    assert not any("Thin it" in step.text for step in steps[1:])


def test_raw_cloth_is_tested_again_after_it_got_wet_and_primed_cloth_is_not():
    assert any("pull again" in line.text for line in priming("acrylic primer").then)
    assert not any("pull again" in line.text for line in priming("acrylic primer", raw=False).then)
    assert not any("pull again" in line.text for line in priming("oil primer").then)


@pytest.mark.parametrize(
    ("names", "codes"),
    [
        (["glue size", "oil primer"], ["safety-glue-size", "safety-solvents", "safety-dust"]),
        (["lead white primer"], ["safety-solvents", "safety-lead"]),
        (["acrylic primer"], ["safety-dust"]),
    ],
)
def test_what_can_hurt_is_said(names, codes):
    assert [caution.code for caution in priming(*names).cautions] == codes


def test_a_plan_without_a_coat_is_refused():
    with pytest.raises(OutOfRangeError, match="at least one size or primer"):
        priming()


PIECE = cloth_piece(
    face_width=1907,
    face_height=1313,
    depth=43,
    thickness=31,
    fastened=Fastening.BACK,
    tail_trimmed=True,
    thread_allowance=6,
)


def test_cloth_first_gives_sizes_to_mark():
    steps = cloth_first(
        piece=PIECE, face_width=1907, face_height=1313, warp_along_width=True, state="raw, stretched"
    )
    text = " ".join(step.text for step in steps)
    assert "Cut 2105 mm × 1511 mm" in text  # by hand: 1907 + 198, 1313 + 198
    assert "99 mm of cloth show all round" in text  # by hand: 43 + 25 + 25 + 6
    assert "bevel down" in text
    assert "outer 25 mm" in text
    assert [step.title for step in steps][:5] == [
        "Creases out",
        "Cut to the thread",
        "Warp direction",
        "Right side down",
        "Middles marked",
    ]
    assert list(dict.fromkeys(step.caution for step in steps if step.caution)) == ["knife", "staples"]


def test_every_step_has_a_key_and_its_figures_as_facts():
    steps = cloth_first(
        piece=PIECE, face_width=1907, face_height=1313, warp_along_width=True, state="raw, stretched"
    )
    assert len({step.key for step in steps}) == len(steps)
    for step in steps:
        for _, figure in step.facts:
            assert figure in step.text


def test_a_shop_in_inches_reads_inches():
    steps = cloth_first(
        piece=PIECE,
        face_width=1907,
        face_height=1313,
        warp_along_width=True,
        state="raw, stretched",
        style=LengthStyle("in"),
    )
    assert not any(" mm" in step.text for step in steps)
    assert "3 7/8 in of cloth show all round" in " ".join(step.text for step in steps)  # by hand: 99 mm


def test_primed_cloth_is_neither_ironed_nor_torn():
    steps = cloth_first(
        piece=PIECE, face_width=1907, face_height=1313, warp_along_width=False, state="acrylic-primed"
    )
    assert "Do not iron" in steps[0].text
    assert "tear" not in steps[1].text
    assert "along the height" in steps[2].text


def later(**changes):
    stated = {
        "tension_left": 0.21,
        "lowest_of_year": 0.17,
        "keyed": False,
        "touching_load": 7.3,
        "staples": 84,
        "fastened": Fastening.BACK,
        "staple_line": 55.5,
        "spacing": 48.2,
        "on_back": 25.0,
        "frame_passes": True,
        "painted": True,
    }
    return {each.title: each for each in next_time(**{**stated, **changes})}


def test_a_sound_work_needs_nothing_but_its_frame_is_worth_keeping():
    found = later()
    assert [title for title, each in found.items() if each.worth_it] == ["Using the frame again"]


def test_slack_work_is_worth_stretching_again_if_there_is_cloth_to_hold():
    again = "Stretching slack work again"
    assert later(lowest_of_year=0.06)[again].worth_it
    short = later(lowest_of_year=0.06, on_back=11.0)[again]
    assert not short.worth_it
    assert "11 mm of cloth" in short.why.text
    keyed = later(lowest_of_year=0.06, keyed=True)[again]
    assert not keyed.worth_it
    assert "keys" in keyed.why.text


def test_a_ridge_is_expected_where_a_light_push_reaches_timber():
    assert later(touching_load=3.1)["Lifting a ridge"].worth_it
    assert not later(touching_load=None)["Lifting a ridge"].worth_it
    assert later(touching_load=None)["Lifting a ridge"].why.key == "ridge-unknown"
    assert later(touching_load=float("inf"))["Lifting a ridge"].why.key == "ridge-not-expected"


def test_a_frame_whose_strength_was_not_computed_is_not_called_good():
    found = later(frame_passes=None)
    assert found["Using the frame again"].why.key == "frame-unknown"
    assert not found["Using the frame again"].worth_it
    assert not found["Taking the cloth off"].worth_it


def test_a_frame_that_fails_its_limits_is_not_used_again_as_it_is():
    found = later(frame_passes=False)
    assert not found["Using the frame again"].worth_it
    assert found["Taking the cloth off"].worth_it


def test_bare_cloth_comes_off_more_simply_than_a_painting():
    painted, bare = later()["Taking the cloth off"], later(painted=False)["Taking the cloth off"]
    assert "two people" in painted.steps[-1].text
    assert "two people" not in bare.steps[-1].text
    assert "All 84 of them" in painted.steps[1].text
