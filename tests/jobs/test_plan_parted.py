"""Works planned in halves though nobody asked, and read back from their plan with seam and joins."""

from __future__ import annotations

import json
from functools import cache

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.words.own_words import caution_words
from longpoint.drawing.words.voice import voice_of
from longpoint.errors import CANNOT_LEAVE, FaultsError
from longpoint.export.rows.plan import plan_json
from longpoint.export.rows.replan import read_old_plan
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch
from longpoint.replanning.old import old_designs
from longpoint.works.leaving import early_cautions

YARD = '[[yard]]\nname = "bars"\nthickness = 24\ndepth = 58\nlengths = [3000]\nper_metre = 3\n'
DOOR = '[[way]]\nname = "out"\n[[way.obstacle]]\nkind = "door"\nwidth = 900\nheight = 2000\n'


def of(face: tuple[int, int], rest: str = "", *, work: str = "", head: str = "") -> str:
    width, height = face
    return f'{head}[[work]]\nname = "Gate"\nwidth = {width}\nheight = {height}\n{work}{YARD}{rest}'


@cache
def planned(text: str) -> Plan:
    return plan_batch(parse_batch(text), choose=design_of)


THROUGH_A_DOOR = of((2900, 2300), DOOR, head='currency = "EUR"\n')


def test_what_does_not_get_out_whole_is_planned_in_halves_and_it_is_said_why_and_for_how_much() -> None:
    plan = planned(THROUGH_A_DOOR)
    assert plan.works[0].frame.design.seam == 1450
    codes = [caution.code for caution in plan.cautions]
    assert "halves-unasked" in codes and CANNOT_LEAVE not in codes
    assert early_cautions(plan.batch) == ()
    caution = plan.cautions[codes.index("halves-unasked")]
    for language, words in (
        ("en", "In one piece it does not get past door (out). Planned in two halves"),
        ("de", "Im Ganzen geht es nicht durch Tür (out). Geplant in zwei Hälften"),
    ):
        said = caution_words(caution, voice_of(language, plan.batch.style))
        assert words in said
        assert "EUR" in said


@pytest.mark.parametrize("kept", ["as_stated = true\n", "[inside]\nin_halves = false\n"])
def test_what_is_said_is_kept(kept: str) -> None:
    plan = planned(of((2900, 2300), DOOR, head=kept))
    assert plan.works[0].frame.design.seam is None
    assert CANNOT_LEAVE in [caution.code for caution in plan.cautions]


def test_what_gets_out_stays_in_one_piece() -> None:
    plan = planned(of((2900, 1200), DOOR))
    assert plan.works[0].frame.design.seam is None
    assert "halves-unasked" not in [caution.code for caution in plan.cautions]


def test_bars_that_no_board_gives_and_that_are_not_to_be_joined_are_halves() -> None:
    plan = planned(of((7000, 1100), work='[work.bars]\njoin = "none"\n'))
    assert plan.works[0].frame.design.seam == 3500
    (caution,) = [caution for caution in plan.cautions if caution.code == "halves-unasked"]
    assert "No boards give its bars whole" in caution_words(caution, voice_of("en", plan.batch.style))


@pytest.mark.parametrize("text", [THROUGH_A_DOOR, of((7000, 1100)), of((6500, 2100), DOOR)])
def test_a_plan_with_an_unasked_seam_or_joins_is_read_back_as_it_was(text: str) -> None:
    plan = planned(text)
    old = read_old_plan(plan_json(plan))
    assert [one.design for one in old_designs(old.batch, old.works)] == [
        work.frame.design for work in plan.works
    ]


def test_joins_are_read_from_the_plan_and_not_placed_anew() -> None:
    document = json.loads(plan_json(planned(of((7000, 1100)))))
    for join in document["works"][0]["joins"]:
        join["centre"] += 4
    with pytest.raises(FaultsError) as error:  # its parts are not those of joins that lie there
        old = read_old_plan(json.dumps(document).encode())
        old_designs(old.batch, old.works)
    assert error.value.faults[0].code == "plan-damaged"
