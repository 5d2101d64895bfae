"""The first answer of a work is of a design like the last one, found without working the others out."""

from __future__ import annotations

import pytest

from longpoint.choosing import candidates
from longpoint.choosing.bench import Bench
from longpoint.choosing.candidates import alike_candidates_of, candidates_of, layout_of
from longpoint.jobs.answer import Answered, first_answer
from longpoint.model.reading import parse_batch
from longpoint.works.brief import briefs_of

BATCH = """
title = "x"
[[work]]
name = "Reeds"
width = {width}
height = {height}
{more}
"""


def _batch(width: float, height: float = 600, more: str = ""):
    return parse_batch(BATCH.format(width=width, height=height, more=more))


@pytest.mark.parametrize(
    ("before", "now", "more"),
    [
        ((800, 600), (811, 600), ""),
        ((1700, 1200), (1650, 1230), ""),
        ((1700, 1200), (1650, 1230), 'strings = "long sides"'),
        ((1200, 900), (1210, 900), "[work.inside]\ncross_rails = 2\n"),
        ((1200, 900), (1210, 900), '[work.bars]\ncorner = "half-lap"\n'),
        ((1200, 900), (1210, 900), '[work.bars]\nstand = "flat"\n'),
    ],
)
def test_designs_laid_out_alike_are_those_that_the_whole_list_has(
    before: tuple[float, float], now: tuple[float, float], more: str
) -> None:
    old, new = _batch(*before, more), _batch(*now, more)
    whole, _ = candidates_of(briefs_of(new)[0])
    likes = candidates_of(briefs_of(old)[0])[0]
    layouts = {layout_of(one.design.design) for one in likes}
    assert layouts
    some = sorted(likes, key=lambda one: one.cost)
    for like in (one.design.design for one in (some[0], some[len(some) // 2], some[-1])):
        expected = {one.name: one.cost for one in whole if layout_of(one.design.design) == layout_of(like)}
        found = {one.name: one.cost for one in alike_candidates_of(briefs_of(new)[0], like)}
        assert expected.items() <= found.items()
        if expected:
            assert min(found.items(), key=_by_cost) == min(expected.items(), key=_by_cost)


def _by_cost(one: tuple[str, float]) -> tuple[float, str]:
    return one[1], one[0]


def test_the_answer_is_of_the_like_design_and_no_other_is_priced(monkeypatch: pytest.MonkeyPatch) -> None:
    old = _batch(1700, 1200)
    bench = Bench(briefs_of(old)[0])
    like = next(one.design.design for one in candidates_of(briefs_of(old)[0])[0] if bench.has_screws(one))
    priced = 0
    inside = candidates.candidate_of

    def counted(batch, option):
        nonlocal priced
        priced += 1
        return inside(batch, option)

    monkeypatch.setattr(candidates, "candidate_of", counted)
    answer = first_answer(briefs_of(_batch(1690, 1210))[0], like)
    assert isinstance(answer, Answered)
    assert layout_of(answer.draft.designed.design) == layout_of(like)
    assert 0 < priced < 10


def test_where_no_design_is_like_it_the_cheapest_answers() -> None:
    old = _batch(1700, 1200)
    like = max(
        (one.design.design for one in candidates_of(briefs_of(old)[0])[0]),
        key=lambda one: len(one.cross_rails),
    )
    stated = _batch(800, 600, "[work.inside]\ncross_rails = 0\n")
    found = first_answer(briefs_of(stated)[0], like)
    other = first_answer(briefs_of(stated)[0], None)
    assert isinstance(found, Answered) and isinstance(other, Answered)
    assert found.draft.designed.design == other.draft.designed.design
