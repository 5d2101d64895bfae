"""The pull at the pliers, biaxial cloth, keys, limits and raw cloth under water.

Friction of canvas on pine 0.63: Young, Conserving Canvas ch. 15. Numbers marked "computed" were found apart from this
program.
"""

from __future__ import annotations

from math import e, exp, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from longpoint.errors import FaultsError, OutOfRangeError, Where
from longpoint.stretching import pull as pulling
from longpoint.stretching.piece import Fastening
from longpoint.stretching.pull_limits import check_pull, pull_limits, wetting
from longpoint.tables import Tag, cloth_state

MU = 0.63  # Young, Conserving Canvas ch. 15


def test_pliers_of_75_mm_at_250_newtons_per_metre():
    assert pulling.pliers_force(tension=0.25, jaw=75) == 18.75  # computed
    over_edge = pulling.pliers_force(tension=0.25, jaw=75, friction=MU, wrap=pi / 2)
    assert over_edge == pytest.approx(50.4, rel=5e-3)  # computed with mu 0.63
    assert over_edge / 18.75 == pytest.approx(2.690, rel=5e-4)  # computed


def test_stapled_on_the_back_cloth_turns_round_two_edges():
    assert pulling.wrap_angle(Fastening.SIDE) == pytest.approx(pi / 2)
    assert pulling.wrap_angle(Fastening.BACK) == pulling.wrap_angle(Fastening.HEM) == pytest.approx(pi)
    assert pulling.capstan_factor(friction=MU, wrap=pi) == pytest.approx(7.24, rel=5e-4)  # computed
    assert pulling.capstan_factor(friction=1.0, wrap=1.0) == pytest.approx(e)


@given(st.floats(0, 1.2), st.floats(0, pi), st.floats(0, pi))
def test_two_edges_one_after_another_multiply(friction, first, second):
    together = pulling.capstan_factor(friction=friction, wrap=first + second)
    apart = pulling.capstan_factor(friction=friction, wrap=first) * pulling.capstan_factor(
        friction=friction, wrap=second
    )
    assert together == pytest.approx(apart)
    assert together >= 1


def test_pulls_without_meaning_are_refused():
    with pytest.raises(OutOfRangeError, match="must not be below 0"):
        pulling.capstan_factor(friction=-0.1, wrap=1)
    with pytest.raises(OutOfRangeError, match="above 0 N"):
        pulling.weight_in_words(force=0)


@pytest.mark.parametrize(
    ("force", "words"),
    [
        (19.6, "about the weight of a 2-litre bottle"),  # 2 kg
        (27.0, "about the weight of a brick"),  # 2.75 kg
        (104.0, "about the weight of a full bucket"),  # 10.6 kg
        (1200.0, "the weight of 122 kg, more than a hand can pull"),
    ],
)
def test_a_force_is_said_as_a_thing_everyone_has_lifted(force, words):
    assert pulling.weight_in_words(force=force) == words


def test_the_pull_is_given_with_and_without_friction_and_lighter_near_corners():
    found = pulling.pliers_pull(tension=0.27, fastened=Fastening.SIDE, jaw=81)
    assert found.without_friction == pytest.approx(0.27 * 81)
    assert found.with_friction == pytest.approx(0.27 * 81 * exp(MU * pi / 2))
    assert found.words == (
        "from about the weight of a 2-litre bottle (slippery edge) to about the weight of a 5-litre can of water "
        "(bare wood)"
    )
    assert found.near_corners[0] == pytest.approx(found.without_friction * 0.667)  # two thirds: estimate


def limits_of(**changes):
    return pull_limits(**{"state": cloth_state("raw"), "fibre_name": "linen", "mass": 310.0, **changes})


def test_the_weave_is_trusted_with_a_tenth_of_what_breaks_it():
    (weave,) = limits_of(mass=320)
    # reference strip 21.6 kN/m (Conserving Canvas ch. 29 note 20), unevenness 10 (Young & Hibberd 1999, abstract)
    assert weave.tension == pytest.approx(2.16)
    assert weave.source.tag is Tag.ESTIMATE
    (lighter,) = limits_of(mass=160)
    assert lighter.tension == pytest.approx(1.08)
    (heavier,) = limits_of(mass=480)
    assert heavier.tension == pytest.approx(2.16)
    (old,) = limits_of(mass=320, old=True)
    assert old.tension == pytest.approx(0.15 * 2.16)  # 15 % left: Young & Hibberd 1999, abstract


def test_the_least_limit_comes_first_and_each_names_its_source():
    found = limits_of(state=cloth_state("sized"), seam=True, bars=0.51, joints=0.47)
    assert [limit.name for limit in found] == ["ground", "joints", "bars", "seam", "weave"]
    assert all(limit.source.text for limit in found)


def test_a_pull_that_tears_the_cloth_is_refused_with_everything_else_it_breaks():
    found = limits_of(fibre_name="cotton", mass=150, seam=True, bars=0.41)
    with pytest.raises(FaultsError) as caught:
        check_pull(tension=0.63, limits=found, where=Where("cloth.tension_left"))
    assert [fault.code for fault in caught.value.faults] == [
        "pull-tears-cloth",
        "pull-too-hard",
        "pull-tears-cloth",
    ]
    assert str(caught.value.faults[2]) == (
        "cloth.tension_left: A pull of 630 N/m tears the cloth at its fixings: the most is 542 N/m (estimate). Pull "
        "less, or take heavier cloth."
    )
    assert check_pull(tension=0.25, limits=found) == ()


def test_a_pull_past_the_ground_is_a_caution_not_a_fault():
    (caution,) = check_pull(tension=0.37, limits=limits_of(state=cloth_state("sized")))
    assert caution.code == "pull-over"
    facts = dict(caution.facts)
    assert (facts["layer"], facts["most"], facts["tag"]) == ("ground", "346 N/m", "estimate")


def test_raw_cloth_is_stretched_only_snug_because_water_tightens_it():
    found = wetting(state=cloth_state("raw"), fibre_name="cotton")
    assert (found.snug.low, found.snug.high) == (0.05, 0.08)  # Conserving Canvas T59.2: "insufficient"
    assert found.added.low < found.added.middle < 1.0 < found.added.high  # 1000 N/m and more: estimate
    # by hand, by factor: .03-.10 free, .15-.40 kept, 20-100 N/mm
    assert found.added.middle == pytest.approx((0.03 * 0.10 * 0.15 * 0.40 * 20 * 100) ** 0.5)
    assert dict(found.cautions[0].facts)["snug"] == "50-80 N/m"
    assert (found.loose_share.low, found.loose_share.high) == (3, 10)  # loom-state duck, from memory


def test_linen_tightens_less_than_cotton_and_polyester_hardly_at_all():
    cotton, linen, polyester = (
        wetting(state=cloth_state("raw"), fibre_name=name).added.middle
        for name in ("cotton", "linen", "polyester")
    )
    assert polyester < 0.1 * cotton
    assert linen < cotton


def test_tight_cloth_and_a_weak_frame_under_water_are_cautions():
    found = wetting(state=cloth_state("raw"), fibre_name="cotton", stretched_to=0.21, frame_bears=0.34)
    assert [caution.code for caution in found.cautions] == [
        "snug-and-water",
        "too-tight-before-water",
        "frame-under-water",
    ]
    with pytest.raises(OutOfRangeError, match="glue-sized"):
        wetting(state=cloth_state("sized"), fibre_name="cotton")
