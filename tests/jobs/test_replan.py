"""The rest of a plan from its file and a file of events."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.choosing.chooser import ComputedChooser
from longpoint.cutting.boards.proof.referee import check_board_plan
from longpoint.cutting.boards.values import nanometres
from longpoint.drawing.paper.pages import A4
from longpoint.errors import Fault, FaultsError
from longpoint.export.replan_files import replan_document, replan_files, replan_json
from longpoint.export.rows.plan import parse_plan, plan_json
from longpoint.export.rows.replan import old_plan_of, read_old_plan
from longpoint.jobs.plan import plan_batch
from longpoint.jobs.replan import replan_after
from longpoint.model.events import EVENTS_STARTER, Events
from longpoint.model.reading import parse_batch, parse_stated, placed
from longpoint.replanning.answer import Replan
from longpoint.replanning.old import OldPlan, derived_parts, old_designs
from longpoint.works.brief import Brief
from longpoint.works.designed import Designed

ROOT = Path(__file__).parents[2]

SMALL = """
unit = "cm"
[bars]
depth = 4.4
[[work]]
name = "Long one"
width = 173
height = 91
how_many = 2
[[work]]
name = "Deeper wish"
width = 61.3
height = 40.7
[work.bars]
lip_radius = 0.3
[[yard]]
name = "bar wood"
thickness = 2.1
depth = 4.4
serves = ["bars"]
lengths = [{ length = 240, price = 6.2 }, { length = 360, price = 9.1 }]
[[yard]]
name = "rail wood"
thickness = 2.1
depth = 2.8
serves = ["rails"]
per_metre = 1.7
lengths = [240, 360]
"""


@cache
def old() -> OldPlan:
    plan = plan_batch(parse_batch(SMALL), choose=design_of)
    return old_plan_of(parse_plan(plan_json(plan)))


def after(text: str) -> Replan:
    return replan_after(old(), parse_stated(Events, text, unit=old().batch.unit))


def codes(text: str) -> set[str]:
    with pytest.raises(FaultsError) as error:
        after(text)
    return {fault.code for fault in error.value.faults}


def refereed(found: Replan) -> None:
    wanted = Counter({part.mark: part.how_many for part in found.parts})
    seen: Counter[str] = Counter()
    for section in found.sections:
        again = section.again
        assert check_board_plan(again.problem, again.plan) == ()
        seen.update(part for board in again.boards for part in board.done)
        seen.update(cut.part.split(" at ")[0] for board in again.plan.boards for cut in board.cuts)
    assert all(seen[mark] >= count for mark, count in wanted.items())


def test_a_plan_file_gives_back_the_exact_parts_it_was_made_of() -> None:
    plan = plan_batch(parse_batch(SMALL), choose=design_of)
    again = [
        derived_parts(designed, work)
        for designed, work in zip(old_designs(old().batch, old().works), old().works, strict=True)
    ]
    assert again == [work.parts for work in plan.works]


def test_a_middle_line_that_the_choice_halved_is_read_back() -> None:
    def halved(brief: Brief) -> Designed | tuple[Fault, ...]:
        found = design_of(brief)
        if not isinstance(found, Designed) or not found.design.cross_rails:
            return found
        return replace(
            found, design=replace(found.design, middle_pieces=True, halved=True, shift=Fraction(0))
        )

    plan = plan_batch(parse_batch(SMALL), choose=halved)
    assert plan.works[0].designed.design.halved
    kept = old_plan_of(parse_plan(plan_json(plan)))
    again = old_designs(kept.batch, kept.works)
    assert again[0].design == plan.works[0].designed.design


def test_without_events_the_rest_is_the_plan() -> None:
    found = after("")
    refereed(found)
    assert all(section.again.plan.cost == 0 for section in found.sections)
    assert not any(board.changed for s in found.sections for board in s.again.boards)


def test_thinner_bars_lengthen_the_rails_by_twice_the_difference() -> None:
    found = after('[[timber]]\nname = "bar wood"\nthickness = [2.03, 2.02, 2.04]\n')
    refereed(found)
    rails = {mark: now - before for mark, before, now in found.longer}
    # 21 planned, 20.3 came: what stands between two bars grows by 2 × 0.7 mm; end rails run between the flanks.
    assert rails["A3"] == pytest.approx(1.4)
    assert not any(mark in rails for mark in ("A1", "A2", "B1", "B2"))
    assert found.sections[1].touched


def test_a_measured_inside_length_is_cut_as_measured_with_nothing_kept_on_top() -> None:
    part = next(p for p in old().works[0].parts if p.kind == "end rail")
    found = after(f'[[measured]]\npart = "{part.mark}"\nlength = {float(part.long_point + 2) / 10}\n')
    refereed(found)
    again = found.sections[1].again
    named = {p.name: p for p in again.problem.parts}
    assert Fraction(named[part.mark].length, 10**6) == part.long_point + 2
    assert named[part.mark].extra == 0


def test_boards_may_be_named_by_their_length_and_must_be_told_apart() -> None:
    assert codes("[[cut]]\nboard = 360\n") == {"which-board"}
    found = after('[[cut]]\nboard = "3.6 m"\nsection = "bars"\ncuts = 1\n')
    refereed(found)
    again = found.sections[0].again
    assert sum(len(board.done) for board in again.boards) == 1


def test_a_board_may_be_named_by_its_number_on_the_saw_pages() -> None:
    found = after('[[cut]]\nnumber = 2\nsection = "rails"\ncuts = 1\n')
    refereed(found)
    again = found.sections[1].again
    assert [len(board.done) for board in again.boards].count(1) == 1
    assert codes("[[cut]]\nnumber = 2\n") == {"which-board"}
    assert codes('[[cut]]\nnumber = 88\nsection = "rails"\n') == {"no-such-board"}


def test_contradictions_are_collected_with_their_lines() -> None:
    text = (
        '[[cut]]\nboard = "360"\nsection = "bars"\nnumber = 99\n'
        '[[spoiled]]\npart = "A1"\n'
        '[[split]]\nboard = "360"\nsection = "bars"\nat = "3.7 m"\n'
        '[[spoiled]]\npart = "Q7"\n'
        '[[timber]]\nname = "bar wod"\nthickness = [2.0]\n'
    )
    with pytest.raises(FaultsError) as error:
        after(text)
    faults = placed(error.value.faults, text, file="events.toml")
    assert {fault.code: fault.where.line for fault in faults} == {
        "no-such-board": 1,
        "spoiled-not-cut": 5,
        "beyond-the-board": 7,
        "no-such-part": 12,
        "no-such-timber": 14,
    }


def test_timber_far_from_its_name_is_refused() -> None:
    assert codes('[[timber]]\nname = "bar wood"\nthickness = [3.1]\n') == {"timber-far-off"}


def test_a_plan_whose_parts_do_not_follow_from_its_batch_is_refused() -> None:
    plan = plan_batch(parse_batch(SMALL), choose=design_of)
    data = json.loads(plan_json(plan))
    data["works"][0]["parts"][0]["long_point"] += 10
    with pytest.raises(FaultsError) as error:
        replan_after(old_plan_of(parse_plan(json.dumps(data))), Events())
    assert error.value.faults[0].code == "plan-damaged"


def test_every_line_of_the_starter_can_be_taken_into_use() -> None:
    text = re.sub(r"^# (?=\[\[|\w+ =)", "", EVENTS_STARTER, flags=re.MULTILINE)
    stated = parse_stated(Events, text)
    assert all(getattr(stated, name) for name in Events.model_fields if name not in ("unit",))
    assert parse_stated(Events, EVENTS_STARTER) == Events(bought="all")


def first_off() -> str:
    """The part that comes off board 1 of the bars first."""
    return old().sections[0].boards[0].cuts[0][0]


def again(rest: Replan, text: str) -> Replan:
    """The next stage, from the file that the last one wrote."""
    plan = read_old_plan(replan_json(rest), file="replan.json")
    return replan_after(plan, parse_stated(Events, text, unit=plan.batch.unit))


def test_a_rest_goes_on_from_its_own_file_any_number_of_times() -> None:
    one = after(f'[[cut]]\nsection = "bars"\nnumber = 1\ncuts = 1\n[[spoiled]]\npart = "{first_off()}"\n')
    refereed(one)
    two = again(one, 'unit = "mm"\n[[timber]]\nname = "bar wood"\nthickness = [20.3]\n')
    refereed(two)
    assert {mark: now - before for mark, before, now in two.longer}["A3"] == pytest.approx(1.4)
    three = again(
        two, '[[cut]]\nboard = "2400 no. 1"\nsection = "bars"\n[[measured]]\npart = "A3"\nlength = 87\n'
    )
    refereed(three)
    assert three.longer == (), "lengths follow the timber once"
    assert len(three.so_far.stages) == 3
    done = Counter(
        part for section in three.sections for board in section.again.boards for part in board.done
    )
    assert sum(done.values()) > 1
    assert replan_json(again(two, "")) == replan_json(again(two, ""))


def test_a_stage_with_everything_and_two_stages_that_share_it_leave_the_same_to_be_cut() -> None:
    cut = '[[cut]]\nsection = "bars"\nnumber = 1\ncuts = 1\n'
    rest = f'[[spoiled]]\npart = "{first_off()}"\n[[timber]]\nname = "bar wood"\nthickness = [2.03]\n'
    both, apart = after(cut + rest), again(after(cut), rest)
    for together, alone in zip(both.sections, apart.sections, strict=True):
        assert together.again.problem == alone.again.problem
        assert together.again.plan.boards == alone.again.plan.boards
        assert together.again.bench == alone.again.bench


def test_a_piece_cut_before_the_timber_was_measured_is_to_be_held_to_the_frame() -> None:
    one = after('[[cut]]\nsection = "rails"\nnumber = 1\ncuts = 1\n')
    two = again(one, '[[timber]]\nname = "bar wood"\nthickness = [2.03]\n')
    made = next(part for board in one.sections[1].again.boards for part in board.done)
    caution = next(c for c in two.cautions if c.code == "cut-before-measured")
    assert (
        caution.about == made
        and dict(caution.facts)["off"] == "0.14 cm"
        and dict(caution.facts)["sign"] == "+"
    )


def test_a_rest_that_does_not_follow_from_what_it_says_happened_is_refused() -> None:
    spoiled = f'[[spoiled]]\npart = "{first_off()}"\n'
    rest = replan_json(after('[[cut]]\nsection = "bars"\nnumber = 1\ncuts = 1\n' + spoiled))

    def said(change: Callable[[dict[str, Any]], object]) -> tuple[str, str]:
        data = json.loads(rest)
        change(data)
        with pytest.raises(FaultsError) as error:
            replan_after(read_old_plan(json.dumps(data), file="r.json"), Events())
        (fault,) = error.value.faults
        return fault.code, fault.what

    def section(data: dict[str, Any]) -> Any:
        return data["stages"][0]["sections"][0]

    assert said(lambda d: d.update(version=1))[0] == "plan-too-old"
    assert said(lambda d: d.update(version=3))[0] == "plan-too-new"
    assert said(lambda d: d.update(stages=[])) == (
        "plan-damaged",
        "the plan does not agree with itself: r.json tells nothing of what happened.",
    )
    assert said(lambda d: d["begun"].pop("works"))[0] == "plan-damaged"
    code, what = said(lambda d: d["stages"][0]["events"]["cut"][0].update(cuts=0))
    assert code == "plan-damaged" and f"1 of {first_off()} are said to be spoiled; 0 are cut" in what
    for harm in (
        lambda d: section(d).pop(),
        lambda d: section(d)[0]["cuts"][-1].update(start=1.0),
        lambda d: section(d)[0].update(board="nowhere"),
        lambda d: section(d)[0]["cuts"][0].update(swing_start="backwards"),
    ):
        assert said(harm)[0] == "plan-damaged"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("text", "seen"),
    [
        ('[[cut]]\nsection = "bars"\nnumber = 1\ncuts = 1\n[[spoiled]]\npart = "FIRST"\n', "displaced"),
        ('[[split]]\nsection = "bars"\nnumber = 2\nat = "1.1 m"\n', "displaced"),
        ('[[short]]\nsection = "bars"\nnumber = 2\nby = 40\n', "shorter"),
        ('[[timber]]\nname = "redwood 21 x 58"\nthickness = [20.3]\n', "longer"),
        ('[[measured]]\npart = "A3"\nlength = 1157\n', "measured"),
    ],
)
def test_everything_that_can_happen_happens_to_the_demo_and_then_again(text: str, seen: str) -> None:
    text = text.replace("FIRST", demo().sections[0].boards[0].cuts[0][0])
    one = replan_after(demo(), parse_stated(Events, text))
    refereed(one)
    bars, rails = one.sections
    shown = {
        "displaced": bool(bars.again.displaced),
        "shorter": any(board.short == nanometres(40) for board in bars.again.bench.here),
        "longer": ("A3", 1158.0, 1159.4) in one.longer,
        "measured": any(p.name == "A3" and p.length == nanometres(1157) for p in rails.again.problem.parts),
    }
    assert shown[seen]
    two = again(
        one, '[[cut]]\nsection = "rails"\nnumber = 3\n[[short]]\nsection = "rails"\nnumber = 1\nby = 40\n'
    )
    refereed(two)
    three = again(two, '[[split]]\nsection = "bars"\nnumber = 2\nat = 90\nto = 130\n')
    refereed(three)
    assert len(three.so_far.stages) == 3
    pages = replan_files(three, paper=A4)
    assert pages["replan.pdf"].startswith(b"%PDF")


@cache
def demo() -> OldPlan:
    batch = parse_batch((ROOT / "examples" / "winter-show.toml").read_text(encoding="utf-8"))
    return old_plan_of(parse_plan(plan_json(plan_batch(batch, choose=design_of, rehearsing=False))))


@pytest.mark.slow
def test_the_demo_goes_on_after_a_spoiled_bar_and_a_split_board() -> None:
    events = (ROOT / "examples" / "replan-winter-show.toml").read_text(encoding="utf-8")
    batch = parse_batch((ROOT / "examples" / "winter-show.toml").read_text(encoding="utf-8"))
    planned = plan_batch(batch, choose=ComputedChooser(), rehearsing=False)  # as `longpoint plan` makes it
    old = old_plan_of(parse_plan(plan_json(planned)))
    found = replan_after(old, parse_stated(Events, events, unit=old.batch.unit))
    refereed(found)
    thin, thick, rails = found.sections
    # The parts on the split board, and the spoiled bar, whose board goes on without it.
    displaced = dict(thin.again.displaced)
    assert displaced["B1"] == 2 and displaced["F1"] >= 1
    assert thin.again.plan.proven
    for section in (thick, rails):
        assert section.again.plan.cost == 0
        assert not any(board.changed for board in section.again.boards)
    files = replan_files(found, paper=A4)
    assert files["replan.pdf"].startswith(b"%PDF")
    written = json.loads(files["replan.json"])
    assert [row["path"] for row in written.pop("files")] == ["replan.pdf"]
    assert written == json.loads(json.dumps(replan_document(found)))
