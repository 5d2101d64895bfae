"""An order as it is written: there and back, and what is refused."""

from __future__ import annotations

import pytest

from longpoint.errors import FaultsError
from longpoint.stretching.rehearsal.order_form import FormRun, form_of, order_of_form, places_of_map
from longpoint.stretching.rehearsal.orders import Order, with_second_pass
from longpoint.stretching.rehearsal.orders_map import order_from_map
from longpoint.stretching.rehearsal.orders_usual import usual_orders
from longpoint.stretching.staple_map import staple_map

WIDTH, HEIGHT = 907.0, 613.0
MAPPED = staple_map(face_width=WIDTH, face_height=HEIGHT, depth=43.0, staple_line=61.0)
PLACES = places_of_map(MAPPED)


def again(order: Order, *, whole: bool = True) -> Order:
    return order_of_form("again", form_of(order), width=WIDTH, height=HEIGHT, places=PLACES, whole=whole)


def steps_of(order: Order) -> list[tuple[str, list[tuple[float, float]], list[float]]]:
    return [
        (
            run.side,
            [
                (round(order.place(n).along, 6), round(s, 3))
                for n, s in zip(run.puts_in, run.shares, strict=True)
            ],
            [round(order.place(n).along, 6) for n in run.takes_out],
        )
        for run in order.runs
    ]


@pytest.mark.parametrize(
    "order", usual_orders(width=WIDTH, height=HEIGHT, places=PLACES), ids=lambda o: o.name
)
def test_every_usual_order_comes_back_from_its_written_form(order: Order) -> None:
    assert steps_of(again(order)) == steps_of(order)


def test_the_maps_own_order_with_its_holding_staples_comes_back_too() -> None:
    order = order_from_map(MAPPED)
    assert any(number != int(number) for run in form_of(order) for number in run.staples)
    assert steps_of(again(order)) == steps_of(order)


def test_a_second_pull_is_written_as_out_and_in_again() -> None:
    plain = usual_orders(width=WIDTH, height=HEIGHT, places=PLACES)[1]
    twice = with_second_pass(plain, ["top 3"], share=0.5)
    assert form_of(twice)[-1] == FormRun("top", (3.0,), (0.5,), (3.0,))
    assert steps_of(again(twice)) == steps_of(twice)


def refused(runs: list[FormRun], **given: object) -> dict[str, tuple[str, str]]:
    with pytest.raises(FaultsError) as error:
        order_of_form("own", runs, width=WIDTH, height=HEIGHT, places=PLACES, **given)  # type: ignore[arg-type]
    return {fault.code: (fault.where.key, fault.what) for fault in error.value.faults}


def test_a_staple_named_twice_a_side_left_empty_and_a_number_too_high_are_told_together_with_their_runs() -> (
    None
):
    runs = [
        FormRun("bottom", (3.0, 4.0), (0.0, 0.0)),
        FormRun("left", (2.0, 99.0), (1.0, 1.0)),
        FormRun("bottom", (4.0,), (1.0,)),
        FormRun("right", (2.0,), (1.0,)),
    ]
    found = refused(runs, where="order[2]")
    assert {code: key for code, (key, _) in found.items()} == {
        "order-twice": "order[2].run[3]",
        "order-unknown": "order[2].run[2]",
        "order-side-empty": "order[2]",
    }
    assert "top" in found["order-side-empty"][1]


def test_a_holding_staple_that_never_comes_out_is_refused() -> None:
    runs = [FormRun(side, (1.0, 2.5), (1.0, 1.0)) for side in ("bottom", "right", "top")]
    found = refused([*runs, FormRun("left", (1.0,), (1.0,))])
    assert found.keys() == {"order-holds-on"}


def test_an_order_for_a_smaller_work_is_refused_for_the_staples_it_leaves_out() -> None:
    small = staple_map(face_width=500.0, face_height=HEIGHT, depth=43.0, staple_line=61.0)
    runs = form_of(order_from_map(small))
    found = refused(list(runs), whole=True, whose="Tall reeds")
    assert found.keys() == {"order-leaves-out"}
    assert "Tall reeds" in found["order-leaves-out"][1]
    # without `whole` it may be rehearsed: every staple it names is there
    order_of_form("own", runs, width=WIDTH, height=HEIGHT, places=PLACES)


def test_every_fault_of_a_written_order_is_told_at_once() -> None:
    listed = (("bottom", (3, 4), 1.0), ("top", (3, 3), 1.0), ("left", (99,), 3.0), ("front", (1,), 1.0))
    runs = [FormRun(side, staples, (pull,) * len(staples)) for side, staples, pull in listed]
    with pytest.raises(FaultsError) as caught:
        order_of_form("mine", runs, width=WIDTH, height=HEIGHT, places=PLACES)
    told = {fault.code: str(fault) for fault in caught.value.faults[::-1]}
    assert len(caught.value.faults) == 6  # left stays empty too, for its only staple has no place
    assert 'names "top 3", which run 2 has already put in' in told["order-twice"]
    assert "side is left empty" in told["order-side-empty"]
    assert '"left 99" that has no place' in told["order-unknown"]
    assert 'side called "front"' in told["order-no-side"]
    assert "3 of the full pull" in told["order-pull"]
