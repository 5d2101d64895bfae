"""Last staples of a folded side wait until the clean side is closed there; what the corner trials change."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from longpoint.strength.membrane.solve import Cloth
from longpoint.stretching.fold import CleanSides
from longpoint.stretching.rehearsal import compare
from longpoint.stretching.rehearsal.corners import corner_trials
from longpoint.stretching.rehearsal.order_form import places_of_map
from longpoint.stretching.rehearsal.orders import Order, OrderRun
from longpoint.stretching.rehearsal.orders_map import map_from_order, order_from_map
from longpoint.stretching.rehearsal.orders_usual import usual_orders
from longpoint.stretching.rehearsal.rehearse import hand_for_tension
from longpoint.stretching.rehearsal.tuck import waiting_for_corners
from longpoint.stretching.staple_map import StapleMap, staple_map

WIDTH, HEIGHT = 1307.0, 911.0
MAPPED = staple_map(face_width=WIDTH, face_height=HEIGHT, depth=43.0, staple_line=61.0)
ORDERS = {
    order.name: order for order in usual_orders(width=WIDTH, height=HEIGHT, places=places_of_map(MAPPED))
}


def too_early(mapped: StapleMap, folded: tuple[str, str] = ("bottom", "top")) -> set[int]:
    """Runs of a map that drive a folded side's last staple before the clean side's, straight from the map."""
    spots = [(staple, mapped.place(staple)) for staple in mapped.staples if staple.use == "edge"]
    found = set()
    for corner in ((0.0, 0.0), (WIDTH, 0.0), (WIDTH, HEIGHT), (0.0, HEIGHT)):
        near = sorted(spots, key=lambda pair: abs(pair[1][0] - corner[0]) + abs(pair[1][1] - corner[1]))[:2]
        (last,) = (staple for staple, _ in near if staple.side in folded)
        (closing,) = (staple for staple, _ in near if staple.side not in folded)
        if last.run < closing.run:
            found.add(last.run)
    return found


@pytest.mark.parametrize("name", sorted(ORDERS))
def test_no_order_closes_a_folded_side_before_its_corner_can_be_tucked(name: str) -> None:
    late = waiting_for_corners(ORDERS[name])
    assert too_early(map_from_order(late, MAPPED)) == set()
    assert late.steps == ORDERS[name].steps
    assert waiting_for_corners(late) == late
    assert waiting_for_corners(ORDERS[name], CleanSides.LEVEL).steps == late.steps


def test_some_orders_do_close_it_too_early_as_they_are_said() -> None:
    # corners first begins with both ends of the bottom and the top
    assert too_early(map_from_order(ORDERS["corners first"], MAPPED)) == {1, 2}
    # with level sides clean the upright ones carry the folds; they are driven after the others as it is
    assert waiting_for_corners(ORDERS["corners first"], CleanSides.LEVEL) is ORDERS["corners first"]


def test_the_maps_own_order_has_nothing_to_wait_for() -> None:
    order = order_from_map(MAPPED)
    assert waiting_for_corners(order) is order


def test_a_staple_that_waits_keeps_its_pull_and_follows_the_closing_one_at_once() -> None:
    order = ORDERS["side after side"]
    shares = {"bottom 1": 0.37}
    runs = tuple(
        replace(run, shares=tuple(shares.get(n, s) for n, s in zip(run.puts_in, run.shares, strict=True)))
        for run in order.runs
    )
    late = waiting_for_corners(replace(order, runs=runs))
    at = next(k for k, run in enumerate(late.runs) if "bottom 1" in run.puts_in)
    assert late.runs[at] == OrderRun("bottom", ("bottom 1",), (0.37,), late.runs[at].takes_out)
    assert "left 1" in late.runs[at - 1].puts_in


def test_one_that_was_only_laid_in_takes_the_pull_of_the_other_end() -> None:
    order = ORDERS["round the frame"]
    assert order.runs[0].puts_in[0] == "bottom 1" and order.runs[0].shares[0] == 0.0
    last = max((p for p in order.places if p.side == "bottom"), key=lambda p: p.along).name
    runs = tuple(
        replace(
            run, shares=tuple(0.61 if n == last else s for n, s in zip(run.puts_in, run.shares, strict=True))
        )
        for run in order.runs
    )
    late = waiting_for_corners(replace(order, runs=runs))
    (own,) = (run for run in late.runs if "bottom 1" in run.puts_in)
    assert own.shares == (0.61,)


def test_the_holding_staple_that_stood_in_the_way_comes_out_when_the_waiting_one_is_driven() -> None:
    order = order_from_map(MAPPED)
    late_run = next(run for run in order.runs if run.takes_out and run.side == "bottom")
    alone = max(late_run.puts_in, key=lambda name: abs(order.place(name).along - 0.5 * WIDTH))
    rest = tuple(name for name in late_run.puts_in if name != alone)
    # as if the last staple were driven alone, right after the first four runs and the holding ones
    early = (
        *order.runs[:8],
        OrderRun("bottom", (alone,), (0.5,), late_run.takes_out),
        *(OrderRun("bottom", rest, (0.7,) * len(rest)) if run is late_run else run for run in order.runs[8:]),
    )
    late: Order = waiting_for_corners(replace(order, runs=early))
    (own,) = (run for run in late.runs if alone in run.puts_in)
    assert own.takes_out == late_run.takes_out


def test_corner_trials_differ_only_in_pull_and_in_holding_staples() -> None:
    order = order_from_map(MAPPED, name="middles outward")
    even, unheld = corner_trials(order)
    assert [run.puts_in for run in even.runs] == [run.puts_in for run in order.runs]
    assert {s for run in even.runs for s in run.shares} == {0.0, 1.0}
    assert even.runs[0].shares == order.runs[0].shares
    assert unheld.steps == even.steps - 4
    assert not any(run.takes_out for run in unheld.runs)
    drives = [name for run in even.runs for name in run.puts_in if not name.startswith("hold")]
    assert [name for run in unheld.runs for name in run.puts_in] == drives


def test_orders_are_compared_with_folds_where_the_work_has_them(monkeypatch: pytest.MonkeyPatch) -> None:
    compared: list[Order] = []

    def taken(_system: object, _frame: object, order: Order, *_rest: object, **_more: object) -> None:
        compared.append(order)
        if order.name == "side after side":
            raise InterruptedError

    monkeypatch.setattr(compare, "rehearse", taken)
    grid = compare.rehearsal_grid(width=900.0, height=600.0, spacing=100.0)
    give = np.zeros((2 * len(grid.edge),) * 2)
    hand = hand_for_tension(0.2)
    cloth = Cloth(
        warp_stiffness=31.0, weft_stiffness=53.0, poisson_warp=0.19, shear_stiffness=2.3, warp_along="y"
    )
    early: dict[CleanSides, set[str]] = {}
    for clean in CleanSides:
        compared.clear()
        with pytest.raises(InterruptedError):
            compare.compare_orders(
                grid, cloth, give, hand, tension=0.2, breaking=21.6, spacing=100.0, clean=clean
            )
        early[clean] = {one.name for one in compared if waiting_for_corners(one, clean) != one}
    assert early == {clean: set() for clean in CleanSides}
