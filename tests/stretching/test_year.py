"""Wood and canvas through the year.

Shape of the tension curve: Daly Hartin & Michalski, Conserving Canvas (2023) ch. 19: least tension between 65 and 95 %
humidity, rising either way. Heights are estimates; only their order and their band are tested.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from longpoint.errors import OutOfRangeError
from longpoint.stretching.climate import (
    Air,
    airs_of,
    mitre_gap,
    tension_change,
    tension_curve,
    tension_in,
    wood_movement,
)
from longpoint.stretching.year import year_chart
from longpoint.tables import all_climates, climate_preset

STATES = ("raw, first pull", "raw, stretched", "glue-sized", "acrylic-primed", "oil- or gesso-primed")


def test_a_basswood_bar_grows_from_dry_to_damp_air():
    found = wood_movement(
        size=60,
        species_name="basswood",
        flat_sawn=True,
        before=Air("dry", 21.1, 0.30),
        after=Air("damp", 21.1, 0.70),
    )
    assert found.moisture_from == pytest.approx(6.17, abs=0.02)  # Wood Handbook eq. 4-5
    assert found.moisture_to == pytest.approx(13.09, abs=0.02)  # Wood Handbook eq. 4-5
    assert found.change == pytest.approx(1.37, abs=0.02)  # Wood Handbook eq. 13-1, T13-5


def test_quarter_sawn_moves_less_than_flat_sawn():
    dry, damp = Air("dry", 19, 0.33), Air("damp", 23, 0.66)
    flat, quarter = (
        wood_movement(size=43, species_name="scots pine", flat_sawn=sawn, before=dry, after=damp).change
        for sawn in (True, False)
    )
    assert 0 < quarter < flat


def test_a_mitre_opens_at_the_inside_when_bars_shrink():
    found = mitre_gap(thickness=60, strain=-0.0132)
    assert found.wedge == pytest.approx(0.756, rel=5e-3)  # computed
    assert found.gap == pytest.approx(1.12, rel=5e-3)  # computed: 60 x sqrt 2 x 0.0132
    assert found.opens_at == "inside"
    assert mitre_gap(thickness=43, strain=0.004).opens_at == "outside"
    assert mitre_gap(thickness=43, strain=0.0).opens_at == "nowhere"


def change(state, humidity, temperature=20.0):
    """From air of 50 % and 20 °C."""
    return tension_change(
        state=state, before=Air("before", 20.0, 0.5), after=Air("after", temperature, humidity)
    )


@pytest.mark.parametrize("state", STATES)
def test_tension_is_least_between_65_and_95_percent(state):
    middle = {percent: change(state, percent / 100).middle for percent in range(15, 96)}
    least = min(middle, key=middle.__getitem__)
    assert 65 <= least <= 95  # Conserving Canvas ch. 19
    assert middle[20] > middle[40] > middle[60] > middle[least]
    assert middle[95] > middle[least]
    assert middle[50] == pytest.approx(0.0)


@given(state=st.sampled_from(STATES), humidity=st.floats(0, 1), temperature=st.floats(-5, 35))
def test_the_band_always_holds_the_middle(state, humidity, temperature):
    found = change(state, humidity, temperature)
    assert found.low <= found.middle <= found.high


@given(state=st.sampled_from(STATES), one=st.floats(0.1, 0.95), two=st.floats(0.1, 0.95), t=st.floats(5, 30))
def test_going_to_another_air_and_back_changes_nothing(state, one, two, t):
    here, there = Air("here", 18.5, one), Air("there", t, two)
    out = tension_change(state=state, before=here, after=there)
    back = tension_change(state=state, before=there, after=here)
    assert out.middle == pytest.approx(-back.middle, abs=1e-12)
    assert out.low == pytest.approx(-back.high, abs=1e-12)


def test_sized_cloth_follows_humidity_more_than_primed_cloth():
    sized, primed = change("glue-sized", 0.25).middle, change("acrylic-primed", 0.25).middle
    assert sized > primed > 0  # Berger & Russell 1994, via Padfield: bare sized canvas is ruled by humidity
    assert sized == pytest.approx(0.2 * 0.15 * 2.5)  # by hand: 0.15 of 200 N/m for each 10 % drier, estimate


def test_cold_tightens_primed_cloth():
    cold, warm = change("acrylic-primed", 0.5, 8).middle, change("acrylic-primed", 0.5, 27).middle
    assert cold > 0 > warm  # Berger & Russell 1994, via Padfield


def test_in_the_air_of_the_stretching_nothing_has_changed():
    air = Air("now", 17.5, 0.57)
    found = tension_in(state="glue-sized", left=0.21, stretched_in=air, air=air)
    assert (found.low, found.middle, found.high) == pytest.approx((0.21, 0.21, 0.21))


def test_the_curve_rises_through_humidities_and_stays_above_zero():
    points = tension_curve(state="glue-sized", left=0.21, stretched_in=Air("now", 20, 0.55), temperature=20)
    humidities = [point.humidity for point in points]
    assert humidities == sorted(humidities)
    assert len(points) == 41
    assert all(point.tension.low >= 0 for point in points)


def test_humidity_as_a_percentage_is_refused():
    with pytest.raises(OutOfRangeError, match=r"50 % is 0\.5"):
        change("raw", 55)


def chart(**changes):
    stated = {
        "state": "acrylic-primed",
        "left": 0.21,
        "stretched_in": Air("making", 19, 0.56),
        "airs": airs_of(climate_preset("heated house, cold winters")),
        "species_name": "scots pine",
        "thickness": 21.0,
        "flat_sawn": False,
        "keyed": False,
    }
    return year_chart(**{**stated, **changes})


@pytest.mark.parametrize("climate", all_climates(), ids=lambda climate: climate.name)
@pytest.mark.parametrize("state", STATES)
def test_a_year_has_a_point_for_every_season_and_its_extremes_among_them(climate, state):
    found = chart(state=state, airs=airs_of(climate))
    assert [point.air.name for point in found.points] == ["winter", "spring", "summer", "autumn"]
    middles = [point.tension.middle for point in found.points]
    assert found.lowest.middle == min(middles)
    assert found.highest.middle == max(middles)
    assert found.advice


def test_the_window_for_the_making_keeps_the_year_inside_the_limits():
    found = chart()
    low, high = found.window
    at_low, at_high = chart(left=low), chart(left=high)
    assert at_low.lowest.middle == pytest.approx(
        0.08
    )  # 80 N/m: top of "insufficient", Conserving Canvas T59.2
    assert at_high.highest.middle == pytest.approx(0.34)  # 340 N/m: Iaccarino Idelson 2009, quoted in ch. 59
    assert any("stays between slack and tight" in line.text for line in found.advice)
    assert any(line.text.startswith("Stretch it more: from") for line in chart(left=0.5 * low).advice)
    assert any(line.text.startswith("Stretch it less: from") for line in chart(left=1.5 * high).advice)


def test_keys_are_spoken_of_only_where_there_are_keys():
    assert not any("Open all corners" in line.text for line in chart().advice)
    assert any("there are no keys" in line.text for line in chart().advice)
    assert any("Open all corners" in line.text for line in chart(keyed=True).advice)


def test_a_wide_year_asks_for_a_backing_board_and_a_kept_room_does_not():
    assert any("backing board" in line.text for line in chart().advice)
    assert not any(
        "backing board" in line.text for line in chart(airs=airs_of(climate_preset("kept room"))).advice
    )


def test_damp_air_and_open_mitres_are_cautions():
    found = chart(airs=(Air("the flood", 12, 0.91),), thickness=58.0, species_name="basswood", flat_sawn=True)
    assert [caution.code for caution in found.cautions] == ["too-damp", "mitres-open"]
    assert dict(found.cautions[0].facts)["humidity"] == "91 %"
    assert "outside" in dict(found.cautions[1].facts)["at"]


def test_where_no_tension_suits_the_year_the_chart_says_so():
    found = chart(state="glue-sized", airs=(Air("flood", 12, 0.745), Air("drenched", 12, 0.95)))
    assert found.window is None
    assert any("steady the air first" in line.text for line in found.advice)


def test_a_year_without_air_is_refused():
    with pytest.raises(OutOfRangeError, match="at least one air"):
        chart(airs=())
