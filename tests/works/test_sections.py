"""Timber that bars and rails may be made of, and where rails then lie in the bars."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.model.batch import Batch
from longpoint.works.brief import briefs_of
from longpoint.works.designed import Designed
from longpoint.works.sections import drop_for, least_gap

ONE = {"name": "one", "thickness": 18, "depth": 44, "lengths": (2400,)}


def batch(*yard: dict[str, Any], **more: Any) -> Batch:
    return Batch(work=({"name": "a", "width": 900, "height": 600},), yard=yard, **more)


def sides(stated: Batch) -> list[tuple[int, int]]:
    bars = briefs_of(stated)[0].sections[0]
    return [(int(s.thickness), int(s.depth)) for s in briefs_of(stated)[0].rails_in(bars)]


def test_one_section_serves_for_rails_lying_flat() -> None:
    assert sides(batch(ONE)) == [(44, 18)]


def test_rails_that_are_stated_on_edge_do_not_lie_flat_and_the_other_way_round() -> None:
    rail = {"name": "rail", "thickness": 21, "depth": 28, "serves": ("rails",), "lengths": (2400,)}
    bar = ONE | {"serves": ("bars",)}
    assert sides(batch(bar, rail)) == [(21, 28), (28, 21)]
    assert sides(batch(bar, rail, inside={"stand": "on edge"})) == [(21, 28)]
    assert sides(batch(bar, rail, inside={"stand": "flat"})) == [(28, 21)]


@pytest.mark.parametrize(
    ("room", "flat", "drop"),
    [
        (42, False, 7),
        (15, False, 7),
        (13, False, 5),
        (9, False, 2),
        (7, False, 1),
        (49, True, 37),
        (19, True, 7),
    ],
)
def test_drop_and_gap_share_the_room_there_is(room: int, flat: bool, drop: int) -> None:
    stated = batch(ONE)
    assert drop_for(stated.inside, gap=least_gap(stated.limits), room=Fraction(room), flat=flat) == drop


def test_a_drop_that_is_stated_stays() -> None:
    stated = batch(ONE, inside={"drop": 3})
    assert drop_for(stated.inside, gap=least_gap(stated.limits), room=Fraction(40)) == 3


def test_depth_that_is_not_said_is_44_where_that_is_on_sale_and_else_what_is_on_sale() -> None:
    lath = {"name": "lath", "thickness": 24, "depth": 48, "lengths": (2400,)}
    for yard, depth in (((lath,), 48), ((lath, ONE), 44)):
        stated = batch(*yard)
        assert {section.depth for section in briefs_of(stated)[0].sections} == {depth}


def test_timber_that_lies_in_the_rack_alone_and_does_not_go_round_is_left_out() -> None:
    board = {"name": "R", "thickness": 30, "depth": 44, "length": 1000}
    few, many = (batch(ONE, rack=(board | {"how_many": count},)) for count in (2, 6))
    assert {int(s.thickness) for s in briefs_of(few)[0].sections} == {18}
    assert {int(s.thickness) for s in briefs_of(many)[0].sections} == {18, 30}


def test_large_faces_by_the_rule_get_corners_that_hold() -> None:
    stated = batch(ONE, inside={"end_rails": "none"})
    found = design_of(briefs_of(stated)[0])
    assert isinstance(found, Designed)
    assert found.design.corner == "mitre with gusset"


def test_rails_are_not_chosen_of_timber_too_short_for_them() -> None:
    from longpoint.choosing.candidates import candidates_of

    long = ONE | {"lengths": (3600,), "per_metre": "3.7"}
    short = {"name": "short", "thickness": 20, "depth": 45, "lengths": (1800,), "per_metre": "3.4"}
    stated = batch(long, short).model_copy(update={"work": batch(long).work[:1]})
    large = stated.model_copy(
        update={
            "work": (stated.work[0].model_copy(update={"width": Fraction(2200), "height": Fraction(2000)}),)
        }
    )
    found, _ = candidates_of(briefs_of(large)[0])
    assert found
    for candidate in found:
        rails = candidate.design.rails
        assert rails is None or {rails.thickness, rails.depth} == {18, 44}
