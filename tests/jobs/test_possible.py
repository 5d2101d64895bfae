"""A batch that is refused as stated is told one list of what to buy; without that wish it is planned."""

from __future__ import annotations

from decimal import Decimal

import pytest

from hunt.batches import small_text
from longpoint.choosing.by_rule import design_of
from longpoint.choosing.chooser import ComputedChooser
from longpoint.errors import Fault, FaultsError
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.jobs.possible import TO_BUY, with_things_to_buy
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch

pytestmark = pytest.mark.slow


def as_stated(text: str) -> Batch:
    return parse_batch(text).model_copy(update={"as_stated": True})


def refused(batch: Batch) -> tuple[Fault, ...]:
    with pytest.raises(FaultsError) as caught:
        plan_batch(batch, choose=design_of)
    return with_things_to_buy(batch, caught.value.faults)


def assumed(plan: Plan) -> set[str]:
    return {
        line.what.key
        for line in plan.buying
        if line.buy and any(note.key in ("shop", "yard") for note in line.notes)
    }


@pytest.mark.parametrize("computed", [False, True])
def test_a_small_face_whose_flat_end_rails_take_none_of_the_screws_is_planned_with_others(
    computed: bool,
) -> None:
    # 9 x 10 in, bars and rails of one 1x2, end rails stated: none of the screws stated fits
    batch = parse_batch(small_text(601))
    plan = plan_batch(batch, choose=ComputedChooser() if computed else design_of)
    design = plan.works[0].designed
    assert set(design.design.end_rails) == {"left", "right"}
    assert any(line.group == "screws" and "shop" in {n.key for n in line.notes} for line in plan.buying)
    assert not plan.works[0].build.faults


def test_the_same_as_stated_is_refused_with_one_list_last() -> None:
    *faults, last = refused(as_stated(small_text(601)))
    assert {fault.code for fault in faults} == {"no-screws"}
    assert last.code == TO_BUY
    assert "1 × screws No. 4 × 1 in" in last.what
    assert "no price stated" in last.what
    assert "smaller" not in last.what + last.remedy


def test_boards_that_are_too_few_are_listed_with_their_price() -> None:
    text = (
        'currency = "EUR"\n[[work]]\nname = "Mole"\nwidth = 1400\nheight = 1000\nhow_many = 3\n'
        '[[yard]]\nname = "strip"\nthickness = 21\ndepth = 44\n'
        "lengths = [{ length = 2400, price = 6, how_many = 6 }]\n"
    )
    *faults, last = refused(as_stated(text))
    assert {fault.code for fault in faults} == {"boards-too-few"}
    plan = plan_batch(parse_batch(text), choose=design_of)
    besides = [
        line for line in plan.buying if line.group == "timber" and "shop" in {note.key for note in line.notes}
    ]
    assert besides
    for line in besides:
        assert f"{line.buy:g} × " in last.what
        assert f"about {line.total} EUR" in last.what
        assert line.total is not None
        assert line.total > Decimal(0)


def test_nothing_is_added_where_the_batch_may_be_changed_or_nothing_helps() -> None:
    fault = Fault("any", "any.")
    assert with_things_to_buy(parse_batch(small_text(601)), [fault]) == (fault,)
    # no ordinary board is long enough for this in one piece, and nothing else may be
    text = '[bars]\njoin = "none"\n[inside]\nin_halves = false\n'
    text += '[[work]]\nname = "Mole"\nwidth = "9000 mm"\nheight = 1000\n'
    text += '[[yard]]\nname = "s"\nthickness = 21\ndepth = 44\nlengths = [2400]\n'
    faults = refused(as_stated(text))
    assert TO_BUY not in {one.code for one in faults}
