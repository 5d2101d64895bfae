"""What the choice does not work out twice, or not at all, is what working it out would have said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.bench import Bench
from longpoint.choosing.candidates import candidates_of
from longpoint.choosing.chooser import ComputedChooser
from longpoint.choosing.designs import layouts_of, settle, with_inside
from longpoint.joinery.joints.joints_of import lacks_screws
from longpoint.model.reading import parse_batch
from longpoint.strength.choice import holds
from longpoint.strength.verdicts.cases import all_cases
from longpoint.strength.verdicts.drawn import all_verdicts
from longpoint.strength.verdicts.touch import touching_verdicts
from longpoint.strength.verdicts.verdict import OwnLimits, Verdict
from longpoint.works.brief import Brief, briefs_of
from longpoint.works.build import kept_for_staples
from longpoint.works.draft import draft_of
from longpoint.works.remembered import let_go

SHORT = ("left", "right")


def _briefs(
    more: str = "", *, works: tuple[tuple[str, int, int], ...] = (("Reeds", 1000, 700),)
) -> tuple[Brief, ...]:
    said = "".join(f'[[work]]\nname = "{name}"\nwidth = {w}\nheight = {h}\n' for name, w, h in works)
    return briefs_of(parse_batch(f'unit = "mm"\n{said}{more}'))


@pytest.mark.parametrize(
    "more", ["", "[work.inside]\ncross_rails = [300, 500]\n", "[work.inside]\nin_halves = true\n"]
)
def test_layouts_are_settled_at_once_with_the_end_rails_that_they_get(more: str) -> None:
    (brief,) = _briefs(more)
    bars = brief.sections[0]
    rails = brief.rails_in(bars)[0]
    layouts = layouts_of(brief, bars=bars, rails=rails)
    assert {found.end_rails for found in layouts} == {(), SHORT, (*SHORT, "bottom", "top")}
    for found in layouts:
        count = len(found.cross_rails) - (1 if found.seam is not None else 0)
        plain = settle(
            brief,
            bars=bars,
            rails=rails,
            cross_rails=count,
            middle_pieces=found.middle_pieces,
            end_rails=bool(found.end_rails),
        )
        moved = with_inside(plain, brief, sides=found.end_rails, bars=bars)
        # a seam with rails that are placed stays where it was without the other end rails
        assert replace(moved, seam=None) == replace(found, seam=None)


ONE_SCREW = """
[[screw]]
diameter = 3.5
length = 45
[[yard]]
name = "bar"
thickness = 21
depth = 44
lengths = [3000]
serves = ["bars"]
[[yard]]
name = "thin"
thickness = 12
depth = 28
lengths = [3000]
serves = ["rails"]
[[yard]]
name = "thick"
thickness = 27
depth = 28
lengths = [3000]
serves = ["rails"]
"""


def test_a_place_that_takes_a_screw_in_one_frame_does_in_every_other() -> None:
    (brief,) = _briefs(ONE_SCREW)
    bench, stock = Bench(brief), brief.stock
    said = []
    for candidate in candidates_of(brief)[0]:
        frame = draft_of(brief, _designed(candidate)).frame
        alone = not lacks_screws(
            frame,
            sizes=stock.screw_sizes,
            drill=brief.shop.drill,
            kept=kept_for_staples(stock.staples, fasten=brief.cloth.fasten),
            along=None,
            fits={},
        )
        assert bench.has_screws(candidate) == alone
        said.append(alone)
    assert len(set(said)) == 2 and len(stock.screwed) > 5


def _designed(candidate):
    from longpoint.works.designed import Designed

    option = candidate.design
    return Designed(option.design, option.bars, option.rails)


def test_verdicts_are_the_same_where_what_judged_them_is_used_again() -> None:
    (brief,) = _briefs()
    bench = Bench(brief)
    some = sorted(candidates_of(brief)[0], key=lambda one: one.cost)
    chosen = next(
        one for one in some if bench.has_screws(one) and all(map(holds, bench.look(one)[0]))
        and bench._built_look(one) and len(bench.weigh(one)) > 20
    )  # fmt: skip
    assert chosen.name in bench._judged
    again, anew = bench.judge(chosen), all_verdicts(all_cases(bench._built_look(chosen)), bench.own)
    assert [_figures(one) for one in again] == [_figures(one) for one in anew]


def _figures(verdict: Verdict) -> tuple[object, ...]:
    return verdict.key, *(
        pytest.approx(value, rel=1e-9) for value in (verdict.value, verdict.low, verdict.high)
    )


def test_one_push_with_the_limit_tells_whether_canvas_touches() -> None:
    (brief,) = _briefs()
    bench = Bench(brief)
    candidate = next(one for one in candidates_of(brief)[0] if one.design.design.cross_rails)
    look = bench._look(candidate)
    answers = set()
    for clearance in (0.5, 1.0, 2.0, 3.0, 5.0, 8.0):
        edges = tuple(replace(edge, clearance=clearance) for edge in look.case.low_edges)
        case = replace(look.case, low_edges=edges)
        for quick, whole in zip(
            touching_verdicts(case, look, OwnLimits(), until_it_holds=True),
            touching_verdicts(case, look, OwnLimits()),
            strict=True,
        ):
            assert quick.answer == whole.answer
            if not holds(quick):
                assert quick.value == whole.value
            answers.add(quick.answer)
    assert {"holds", "not"} <= answers


def test_works_that_share_a_design_have_joints_of_their_own() -> None:
    first, second = _briefs(works=(("Reeds", 400, 300), ("Rushes", 400, 300)))
    choose = ComputedChooser()
    one, other = choose(first), choose(second)
    assert isinstance(one, ChosenDesign) and isinstance(other, ChosenDesign)
    assert one.strength is other.strength
    builds = [draft_of(brief, found).build() for brief, found in ((first, one), (second, other))]
    assert builds[0] is one.built
    assert [build.work for build in builds] == ["Reeds", "Rushes"]
    assert builds[0].screws == builds[1].screws


def test_candidates_are_worked_out_once_until_they_are_let_go() -> None:
    (brief,) = _briefs()
    found = candidates_of(brief)
    assert candidates_of(brief) is found
    let_go(brief)
    again = candidates_of(brief)
    assert again is not found and [one.name for one in again[0]] == [one.name for one in found[0]]
