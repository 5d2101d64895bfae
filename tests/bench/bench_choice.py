"""Choosing against full solves of the same work, in one run."""

from __future__ import annotations

import time
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.chooser import ComputedChooser
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch
from longpoint.strength.canvas_edge import prepare_canvas
from longpoint.strength.coupled_solve import solve_for_tension_left
from longpoint.strength.verdicts.cases import all_cases, couple_pieces, first_look
from longpoint.strength.verdicts.drawn import all_verdicts
from longpoint.strength.verdicts.touch import touching_load
from longpoint.strength.verdicts.verdict import OwnLimits
from longpoint.strength.work_case import WorkCase
from longpoint.works.brief import briefs_of

EXAMPLES = Path(__file__).parents[2] / "examples"


def spent(act: Callable[[], object]) -> float:
    start = time.process_time()
    act()
    return time.process_time() - start


def full_solve(case: WorkCase) -> None:
    """Canvas made ready, frame tied to it, the tension left found: nothing kept from before."""
    prepare_canvas.cache_clear()
    canvas = prepare_canvas(width=case.width, height=case.height, cloth=case.raw)
    solve_for_tension_left(couple_pieces(case.pieces, canvas), case.tension_left)


@pytest.fixture(scope="module")
def slack_water() -> tuple[Batch, ChosenDesign]:
    batch = parse_batch((EXAMPLES / "winter-show.toml").read_bytes(), file="winter-show.toml")
    found = ComputedChooser()(briefs_of(batch)[0])
    assert isinstance(found, ChosenDesign)
    return batch, found


@pytest.mark.bench
def test_all_verdicts_of_one_work_take_at_most_15_full_solves(
    slack_water: tuple[Batch, ChosenDesign],
) -> None:
    case = slack_water[1].strength.case
    solve = min(spent(lambda: full_solve(case)) for _ in range(3))

    def verdicts() -> None:
        prepare_canvas.cache_clear()
        touching_load.cache_clear()
        all_verdicts(all_cases(first_look(case)), OwnLimits())

    ratio = min(spent(verdicts) for _ in range(2)) / solve
    print(f"\nall verdicts / full solve: {ratio:.1f} (at most 15); full solve {solve:.3f} s")
    assert ratio <= 15


@pytest.mark.bench
def test_choosing_one_work_takes_at_most_60_full_solves(slack_water: tuple[Batch, ChosenDesign]) -> None:
    batch, found = slack_water
    solve = min(spent(lambda: full_solve(found.strength.case)) for _ in range(3))

    def choosing() -> None:
        prepare_canvas.cache_clear()
        touching_load.cache_clear()
        ComputedChooser()(briefs_of(batch)[0])

    ratio = min(spent(choosing) for _ in range(2)) / solve
    print(f"\nchoosing / full solve: {ratio:.1f} (at most 60), {found.strength.solved} designs solved")
    assert ratio <= 60


@pytest.mark.bench
def test_sixty_works_are_chosen_in_under_two_minutes_of_one_core() -> None:
    batch = parse_batch((EXAMPLES / "sixty-works.toml").read_bytes(), file="sixty-works.toml")
    chooser = ComputedChooser()
    kinds = len({(work.width, work.height) for work in batch.work})
    took = spent(lambda: [chooser(brief) for brief in briefs_of(batch)])
    pieces = sum(work.how_many for work in batch.work)
    print(f"\n{pieces} works of {kinds} sizes: {took:.1f} s of one core (at most 120)")
    assert took < 120
    assert Fraction(pieces) == 60
