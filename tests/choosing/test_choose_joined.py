"""The computed choice of works longer than a board or wider than a door: it checks the frame that will be built."""

from __future__ import annotations

from typing import Any

import pytest

from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.candidates import Buildable, candidates_of, price_of
from longpoint.choosing.chooser import computed_design
from longpoint.choosing.designs import settle, with_inside, with_joins
from longpoint.choosing.remedies import neighbours_of
from longpoint.drawing.words.strength import design_words
from longpoint.drawing.words.voice import voice_of
from longpoint.frame.members import derive_frame
from longpoint.model.batch import Batch
from longpoint.works.brief import briefs_of

YARD = (
    {"name": "bar", "thickness": 28, "depth": 70, "serves": ("bars",), "per_metre": "4.10", "lengths": (2400,)},
    {"name": "rail", "thickness": 28, "depth": 46, "serves": ("rails",), "per_metre": "2.60", "lengths": (2400,)},
)  # fmt: skip


def batch(width: int, height: int, *, bars: dict[str, Any] | None = None, **more: Any) -> Batch:
    works = ({"name": "Weir", "width": width, "height": height},)
    return Batch(work=works, yard=YARD, currency="EUR", bars={"depth": 70, **(bars or {})}, **more)


@pytest.mark.slow
def test_a_bar_longer_than_the_boards_is_chosen_joined_and_judged_at_its_join() -> None:
    stated = batch(3130, 1170, bars={"join": "scarf"})
    found = computed_design(briefs_of(stated)[0])
    assert isinstance(found, ChosenDesign), found
    assert {join.side for join in found.design.joins} == {"bottom", "top"}
    verdict = next(v for v in found.strength.verdicts if v.key == "join-use")
    assert verdict.passes
    assert "joined in length" in design_words(found.design, voice_of())


@pytest.mark.slow
def test_whatever_rails_a_candidate_or_a_remedy_has_its_joins_keep_clear_of_them() -> None:
    stated = batch(3130, 1170, bars={"join": "scarf"})
    candidates, faults = candidates_of(briefs_of(stated)[0])
    assert candidates
    assert not faults
    options = [candidate.design for candidate in candidates]
    options += [change.option for change in neighbours_of(briefs_of(stated)[0], options[0])]
    counts = set()
    for option in options:
        design = option.design
        again = with_joins(briefs_of(stated)[0], design, bars=option.bars)
        if option.bars.on_sale:
            assert again.joins == design.joins
        counts.add(len(design.cross_rails))
        half = design.rail_thickness / 2
        for join in design.joins:
            start, stop = join.reach
            assert not [line for line in design.cross_rails if start - half < line < stop + half]
    assert len(counts) > 3


@pytest.mark.slow
def test_a_frame_in_halves_is_chosen_alike_on_both_sides_and_judged_at_its_seam() -> None:
    found = computed_design(briefs_of(batch(2180, 1330, inside={"in_halves": True}))[0])
    assert isinstance(found, ChosenDesign), found
    design = found.design
    assert design.seam == design.length / 2
    assert len(design.cross_rails) % 2 == 0
    keys = {v.key for v in found.strength.verdicts}
    assert {"seam-opening", "seam-step", "seam-bolt"} <= keys
    assert not set(design.end_rails) & set(design.flank_sides)
    assert found.strength.case.seam is not None
    assert "in two halves" in design_words(found.design, voice_of())


def test_joins_move_when_end_rails_move_the_cross_rails() -> None:
    stated = batch(3130, 1170, bars={"join": "scarf"})
    brief = briefs_of(stated)[0]
    bars = brief.sections[0]
    plain = settle(brief, bars=bars, rails=None, cross_rails=2, middle_pieces=True, end_rails=False)
    moved = with_inside(plain, brief, sides=plain.start_sides, bars=bars)
    assert moved.cross_rails != plain.cross_rails
    assert moved.joins == with_joins(brief, moved, bars=bars).joins != plain.joins


def test_joins_and_seams_cost_timber_and_time() -> None:
    stated = batch(3130, 1170, bars={"join": "scarf"})
    candidates, _ = candidates_of(briefs_of(stated)[0])
    joined = candidates[0].design
    bare = Buildable(
        with_joins(briefs_of(batch(3130, 1170, bars={"join": "none"}))[0], joined.design, bars=joined.bars),
        *_rest(joined),
    )
    assert not bare.design.joins
    with_it, without = price_of(briefs_of(stated)[0], joined), price_of(briefs_of(stated)[0], bare)
    overlap = sum(float(join.length) for join in joined.design.joins) / 1000
    assert with_it.timber - without.timber == pytest.approx(overlap)
    assert with_it.hours - without.hours == pytest.approx(0.5 * len(joined.design.joins))


def _rest(option: Buildable) -> tuple[Any, Any]:
    return option.bars, option.rails


def test_a_remedy_adds_rails_to_both_halves_alike() -> None:
    stated = batch(2180, 1330, inside={"in_halves": True, "cross_rails": 2})
    candidates, faults = candidates_of(briefs_of(stated)[0])
    assert candidates, faults
    base = candidates[0].design
    for change in neighbours_of(briefs_of(stated)[0], base):
        lines = change.option.design.cross_rails
        assert len(lines) % 2 == 0
        length = change.option.design.length
        assert [length - line for line in reversed(lines)] == list(lines)
        assert derive_frame(change.option.design)
