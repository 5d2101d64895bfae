"""Plans are kept and ticked; the last cut of a board takes it out of the rack and brings its offcut back."""

from __future__ import annotations

from typing import Any

import pytest

from longpoint.errors import FaultsError
from longpoint.store import ConflictError, Store
from longpoint.store.book.document import boards_of, steps_of, works_of
from longpoint.store.book.plans import add_plan, batches, plans
from longpoint.store.book.plans import document as kept_document
from longpoint.store.book.ticks import (
    copies,
    copy,
    set_state,
    tick_board,
    tick_cut,
    tick_step,
    ticks,
    ticks_of_copy,
)
from longpoint.store.book.values import measure, values_about, values_of
from longpoint.store.book.work_file import copy_by_code
from longpoint.store.rack.days import differences
from longpoint.store.rack.stock import history, listed, thing
from store.making import BEGAN, fill


def test_a_plan_comes_back_as_it_was_kept_and_the_same_one_is_kept_once(
    store: Store, document: dict[str, Any]
) -> None:
    with store.writing("Mara") as desk:
        first = add_plan(desk, document)
        assert add_plan(desk, document) == first
        assert kept_document(desk, first.id) == document
        (line,) = batches(desk)
        assert (line.title, line.plans, line.copies) == ("Reed beds", 1, {"planned": 3})
        assert [(one.label, one.work, one.number, one.of) for one in copies(desk, batch=line.id)] == [
            ("W1", "Small", 1, 3),
            ("W2", "Small", 2, 3),
            ("W3", "Small", 3, 3),
        ]
        assert batches(desk, words="reed") == batches(desk, words="SMALL") == [line]
        assert batches(desk, words="%") == []


def test_a_file_that_is_no_plan_is_refused(lite: Store) -> None:
    with pytest.raises(FaultsError, match="no plan"), lite.writing("Mara") as desk:
        add_plan(desk, {"format": "letter"})


def test_the_last_cut_of_a_board_takes_it_out_and_brings_its_offcut_back(
    store: Store, document: dict[str, Any]
) -> None:
    fill(store)
    with store.writing("Mara") as desk:
        plan = add_plan(desk, document, from_rack=True)
    boards = {board.board: board for board in boards_of(document)}
    board = boards["B2"]
    assert board.good_for == "block"
    for number in range(1, len(board.parts) + 1):
        with store.writing("Ben") as desk:
            found = tick_cut(desk, plan.id, board.cut_key(number))
            assert bool(found.taken) == (number == len(board.parts))
    assert found.taken == "B2"
    (label,) = found.offcuts
    with store.writing("Ben") as desk:
        assert thing(desk, "B2").amount == 0
        offcut = thing(desk, label)
        assert offcut.facts["cut_from"] == "B2" and offcut.facts["serves"] == "block"
        assert offcut.facts["length"] == board.remains
        assert history(desk, "B2")[-1].plan == plan.id
        # taken back and ticked again, nothing leaves twice
        tick_cut(desk, plan.id, board.cut_key(1), done=False)
        assert tick_cut(desk, plan.id, board.cut_key(1)).offcuts == ()
        assert tick_board(desk, plan.id, boards["B1"]).taken == "B1"
        assert list(differences(desk)) == []
        assert len([one for one in ticks(desk, plan.id, "cut") if one.done]) == len(board.parts) + len(
            boards["B1"].parts
        )


def test_a_tick_that_is_sent_twice_counts_once_and_keeps_the_time_it_was_set(
    store: Store, document: dict[str, Any]
) -> None:
    with store.writing("Mara") as desk:
        plan = add_plan(desk, document)
        key = boards_of(document)[0].cut_key(1)
        assert tick_cut(desk, plan.id, key, uid="u1", at=BEGAN).new
        assert not tick_cut(desk, plan.id, key, uid="u1").new
        assert tick_step(desk, "W2", 1, uid="u2").new
        assert not tick_step(desk, "W2", 1, uid="u2").new
        (tick,) = ticks(desk, plan.id, "cut")
        assert (tick.key, tick.done, tick.at, tick.who) == (key, True, BEGAN, "Mara")
        for wrong in ("bars|B1|1|99", "nothing", ""):
            with pytest.raises(FaultsError, match="no cut"):
                tick_cut(desk, plan.id, wrong)


def test_states_and_steps_go_on_over_a_new_plan_and_tell_who_was_quicker(
    store: Store, document: dict[str, Any]
) -> None:
    with store.writing("Mara") as desk:
        plan = add_plan(desk, document)
        assert [step.number for step in steps_of(works_of(document)[0])][:2] == [1, 2]
        tick_step(desk, "W1", 1)
        seen = copy(desk, "W1").version
    with store.writing("Ben") as desk:
        set_state(desk, "W1", "cut", seen=seen)
    with pytest.raises(ConflictError, match="by Ben") as found, store.writing("Mara") as desk:
        set_state(desk, "W1", "gone", seen=seen)
    assert found.value.now == "cut"
    document["revision"] = "second"
    document["works"][0]["how_many"] = 2
    with store.writing("Mara") as desk:
        add_plan(desk, document)
        assert len(plans(desk, plan.batch)) == 2
        assert [one.label for one in copies(desk, batch=plan.batch)] == ["W1", "W2"]
        assert [(one.kind, one.key) for one in ticks_of_copy(desk, "W1")] == [("step", "1"), ("state", "cut")]
        with pytest.raises(FaultsError, match="no state"):
            set_state(desk, "W1", "lost")  # type: ignore[arg-type]


def test_measured_values_stand_beside_planned_ones_with_what_to_do(
    store: Store, document: dict[str, Any]
) -> None:
    with store.writing("Mara") as desk:
        add_plan(desk, document)
        good = measure(desk, "bottom", 507.4, label="W1")
        assert (good.planned, good.answer, good.do) == (507.0, "good", "")
        assert measure(desk, "left", 388.0, label="W1").answer == "act"
        assert "other diagonal" in measure(desk, "rising", 641.0, label="W1").do
        off = measure(desk, "falling", 637.0, label="W1", uid="m1")
        assert off.answer == "act" and "push" in off.do.lower()
        assert measure(desk, "falling", 637.0, label="W1", uid="m1").value == 637.0
        measure(desk, "left", 391.2, label="W1")
        assert {one.what: one.answer for one in values_of(desk, "W1")}["left"] == "good"
        assert measure(desk, "water tension", 260, about="linen 340").answer == "noted"
        assert [one.about for one in values_about(desk)] == ["linen 340"]
        with pytest.raises(FaultsError) as found:
            measure(desk, "colour", float("nan"))
        assert len(found.value.faults) == 3


def test_the_rack_shows_a_remnant_of_cloth_after_cutting(store: Store, document: dict[str, Any]) -> None:
    fill(store)
    with store.writing("Mara") as desk:
        add_plan(desk, document, from_rack=True)
        roll = next(one for one in listed(desk) if one.kind == "roll")
        assert 0 < roll.reserved < roll.amount


def test_a_labels_square_code_opens_its_copy(lite: Store, document: dict[str, Any]) -> None:
    with lite.writing("Mara") as desk:
        add_plan(desk, document)
        code = f"Small · 507 × 391 mm · 2 of 3 · Reed beds · {document['revision']}"
        assert [getattr(copy_by_code(desk, each), "label", None) for each in (code, "W3", "W9", "x · y")] == [
            "W2",
            "W3",
            None,
            None,
        ]
