"""The choice finds what exists: works for which a quick bound or an early end once hid designs that hold."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.bench import Bench
from longpoint.choosing.candidates import candidates_of
from longpoint.choosing.chooser import ComputedChooser
from longpoint.errors import FaultsError
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch
from longpoint.strength.choice import all_hold
from longpoint.works.brief import briefs_of

EXAMPLES = Path(__file__).parents[2] / "examples"


def work(width: int, height: int, **limits: Any) -> Batch:
    """One work with the timber and the screws of the example."""
    stated = parse_batch((EXAMPLES / "winter-show.toml").read_bytes(), file="winter-show.toml")
    one = stated.work[0].model_copy(
        update={"name": "Reeds", "width": Fraction(width), "height": Fraction(height)}
    )
    return stated.model_copy(
        update={"work": (one,), "limits": stated.limits.model_copy(update=limits), "as_stated": True}
    )


@pytest.mark.slow
@pytest.mark.parametrize(
    "stated",
    [
        work(1500, 1100, winding_factor=8),
        work(1500, 1100, winding_factor=14),
        work(1200, 900, touch=4),
        work(1400, 1000),
        work(900, 640),
    ],
    ids=["winding", "winding that nothing keeps", "touching", "bare bars", "small"],
)
def test_the_choice_is_the_cheapest_of_all_designs_judged_one_by_one(stated: Batch) -> None:
    found = ComputedChooser()(briefs_of(stated)[0])
    assert isinstance(found, ChosenDesign)
    bench = Bench(briefs_of(stated)[0])
    candidates, _ = candidates_of(briefs_of(stated)[0])
    strength = found.strength
    # where nothing holds every design is judged: each third then; the hunt of choices judges all
    every = 1 if strength.passes else 3
    cheaper = [one for one in candidates if not strength.passes or one.cost < strength.price.measure - 1e-9]
    for candidate in cheaper[::every]:
        first, broken = bench.look(candidate)
        if broken or not all_hold(first):
            continue
        assert not all_hold(bench.judge(candidate)) or not bench.goes_together(candidate), candidate.name


@pytest.mark.slow
def test_what_a_design_is_weighed_by_is_what_it_is_judged_by() -> None:
    """Weighing leaves out cases that only widen ranges: value, limit and answer of every verdict are the same."""
    stated = work(1200, 900)
    candidates, _ = candidates_of(briefs_of(stated)[0])
    full = 0
    for candidate in candidates[::5]:
        try:
            weighed = {
                v.key: (v.value, v.limit, v.judge == "design" and v.answer == "not")
                for v in Bench(briefs_of(stated)[0]).weigh(candidate)
            }
            judged = {
                v.key: (v.value, v.limit, v.judge == "design" and v.answer == "not")
                for v in Bench(briefs_of(stated)[0]).judge(candidate)
            }
        except FaultsError:
            continue
        full += len(weighed) == len(judged)
        same = {key for key in weighed if not key.startswith("touch")}
        assert {key: weighed[key] for key in same} == {key: judged[key] for key in same}, candidate.name
        kept = [key for key in weighed.keys() - same if not weighed[key][2]]
        assert all(not judged[key][2] for key in kept)
    assert full > 2
