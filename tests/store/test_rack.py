"""Things come, go, come back, are counted and corrected; the journal tells every day of it again."""

from __future__ import annotations

import threading
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import event

from longpoint.errors import FaultsError
from longpoint.store import ConflictError, Store
from longpoint.store.book.plans import add_plan, close_batch, plans, standing
from longpoint.store.rack.days import differences, rack_at
from longpoint.store.rack.reserving import kept_by, reserve
from longpoint.store.rack.stock import (
    Wish,
    correct,
    count,
    counted,
    give_back,
    history,
    listed,
    put,
    take,
    thing,
)
from store.making import board, cloth, fill, supply


def test_things_that_come_get_numbers_of_their_own_unless_they_have_names(store: Store) -> None:
    with store.writing("Mara") as desk:
        put(desk, [board(name="B2"), board(name="Oak", how_many=2)])
        assert put(desk, [board(how_many=3), cloth(), supply()]) == ["B1", "B3", "B4", "R1", "S1"]
    with store.reading() as desk:
        assert [one.label for one in listed(desk)] == ["B2", "Oak-1", "Oak-2", "B1", "B3", "B4", "R1", "S1"]
        assert list(differences(desk)) == []


def test_a_label_is_never_given_twice_and_all_that_are_taken_are_said(store: Store) -> None:
    fill(store)
    with store.writing("Mara") as desk:
        take(desk, "B1")
    with pytest.raises(FaultsError) as found, store.writing("Ben") as desk:
        put(desk, [board(name="B1"), board(name="new"), board(name="R1")])
    assert [fault.what.split()[0] for fault in found.value.faults] == ["B1", "R1"]
    with store.reading() as desk:
        assert counted(desk)["board"] == 2


def test_an_inch_fraction_stays_exact(store: Store) -> None:
    with store.writing("Mara") as desk:
        put(desk, [board(length='47 1/64"')])
    with store.reading() as desk:
        assert (
            thing(desk, "B1").facts["length"] == 1194.196875
        )  # 25.4 mm to the inch, 0.396875 mm to its 64th: exact
        assert [one.label for one in listed(desk, Wish(at_least=1194.196875))] == ["B1"]
        assert listed(desk, Wish(at_least=1194.196876)) == []


def test_a_board_is_taken_once_and_comes_back_once(store: Store) -> None:
    fill(store)
    with store.writing("Mara") as desk:
        assert take(desk, "B1").amount == 0
    for verb, why in (
        (take, "no longer in the rack"),
        (give_back, None),
        (give_back, "lies in the rack already"),
    ):
        if why is None:
            with store.writing("Mara") as desk:
                verb(desk, "B1")
            continue
        with pytest.raises(FaultsError, match=why), store.writing("Mara") as desk:
            verb(desk, "B1")
    with store.reading() as desk:
        assert [line.happened for line in history(desk, "B1")] == ["receipt", "taking", "return"]


def test_amounts_of_cloth_and_supplies_are_counted_in_their_own_units(store: Store) -> None:
    fill(store)
    with store.writing("Mara") as desk:
        assert take(desk, "R1", 1_320_000_000).words.endswith("4.68 m")
        assert take(desk, "S1", 120_000).words == "st, 380"
        assert count(desk, "S1", 300_000).words == "st, 300"
        with pytest.raises(FaultsError, match="not so much"):
            take(desk, "R1", 5_000_000_000)


def test_a_search_knows_no_case_in_any_alphabet_and_follows_what_is_corrected(store: Store) -> None:
    with store.writing("Mara") as desk:
        put(
            desk,
            [
                board(timber="Fichte", place="Außen, ÄUSSERES 50%_Fach"),
                board(yard="Nord"),
                cloth(cloth="Leinen"),
            ],
        )

        def found(words: str) -> list[str]:
            return [one.label for one in listed(desk, Wish(words=words))]

        assert found("äusseres") == found("AUSSEN") == found("50%_f") == ["B1"]
        assert found("leinen") == ["R1"] and found("b2") == found("nORD") == ["B2"]
        assert found("0_%") == found("fichte\nx") == []
        correct(desk, "B1", {"place": "door"})
        assert found("außen") == [] and found("DOOR") == ["B1"]


def test_ten_boards_are_kept_in_as_many_statements_as_one(store: Store, document: dict[str, Any]) -> None:
    with store.writing("Mara") as desk:
        labels = put(desk, [board(how_many=11)])
        plan = add_plan(desk, document).id
    asked: list[str] = []
    event.listen(store.engine, "before_cursor_execute", lambda *told: asked.append(told[2]))
    counts = []
    for some in (labels[:1], labels[1:]):
        with store.writing("Mara") as desk:
            asked.clear()
            reserve(desk, plan, dict.fromkeys(some, 1))
            counts.append(len([one for one in asked if not one.startswith("UPDATE item")]))
    assert counts[0] == counts[1] <= 5
    with store.reading() as desk:
        assert list(differences(desk)) == []


def test_a_correction_is_read_through_the_same_door_and_found_by_it(store: Store) -> None:
    fill(store)
    with store.writing("Mara") as desk:
        seen = thing(desk, "B1").version
        correct(
            desk,
            "B1",
            {"length": "2.1 m", "place": "wall, left", "avoid": [{"start": 100, "stop": 200}]},
            seen=seen,
        )
        assert [one.label for one in listed(desk, Wish(words="WALL"))] == ["B1"]
        assert listed(desk, Wish(kind="board", at_least=2500))[0].label == "B3"
        with pytest.raises(FaultsError, match="length"):
            correct(desk, "B1", {"length": -3})
        with pytest.raises(FaultsError, match="colour"):
            correct(desk, "B1", {"colour": "red"})
    with store.reading() as desk:
        assert list(differences(desk)) == []


def test_whoever_saw_an_older_state_is_told_what_stands_there_and_may_write_over_it(store: Store) -> None:
    fill(store)
    with store.reading() as desk:
        seen = thing(desk, "B1").version
    with store.writing("Ben") as desk:
        correct(desk, "B1", {"place": "door"}, seen=seen)
    with pytest.raises(ConflictError, match="changed by Ben") as found, store.writing("Mara") as desk:
        correct(desk, "B1", {"place": "window"}, seen=seen)
    assert found.value.version == seen + 1
    with store.writing("Mara") as desk:
        correct(desk, "B1", {"place": "window"}, seen=found.value.version)
    with store.reading() as desk:
        assert thing(desk, "B1").facts["place"] == "window"


def test_every_moment_of_the_rack_is_told_again_by_its_journal(store: Store) -> None:
    fill(store)
    seen: list[tuple[Any, list[Any]]] = []

    def look() -> None:
        with store.reading() as desk:
            now = [(one.label, one.amount, one.facts) for one in listed(desk, limit=None)]
            seen.append((desk.now, sorted(now, key=str)))

    changes: list[Any] = [
        lambda desk: take(desk, "B2"),
        lambda desk: put(desk, [board(812, serves="rail")]),
        lambda desk: correct(desk, "B1", {"length": 2500, "crook": 4}),
        lambda desk: take(desk, "R1", 900_000_000),
        lambda desk: give_back(desk, "B2"),
        lambda desk: count(desk, "S1", 0),
        lambda desk: correct(desk, "B1", {"crook": None}),
    ]
    look()
    for change in changes:
        with store.writing("Mara") as desk:
            change(desk)
        look()
    with store.reading() as desk:
        for moment, there in seen:
            told = [(one.label, one.amount, one.facts) for one in rack_at(desk, moment)]
            assert sorted(told, key=str) == there
        assert rack_at(desk, seen[0][0] - timedelta(days=1)) == []


def test_a_plan_keeps_its_boards_and_lets_them_go_when_it_is_replaced_or_dropped(
    store: Store, document: dict[str, Any]
) -> None:
    fill(store)
    with store.writing("Mara") as desk:
        first = add_plan(desk, document, from_rack=True)
        assert set(kept_by(desk, first.id)) == {"B1", "B2", "O1", "R1"}
        with pytest.raises(FaultsError, match=r"B1: it is kept for a plan. Kept for plan"):
            take(desk, "B1")
        with pytest.raises(FaultsError, match="more of it is kept"):
            count(desk, "B1", 0)
    document["revision"] = "other"
    document["boards"] = []
    with store.writing("Mara") as desk:
        second = add_plan(desk, document, from_rack=True)
        assert kept_by(desk, first.id) == {} and set(kept_by(desk, second.id)) == {"R1"}
        assert [one.state for one in plans(desk, first.batch)] == ["replaced", "standing"]
        assert close_batch(desk, first.batch, "dropped") == ["R1"]
        assert standing(desk, first.batch) is None
        take(desk, "B1")
        assert list(differences(desk)) == []


def test_a_count_that_finds_less_may_take_it_from_plans(store: Store, document: dict[str, Any]) -> None:
    fill(store)
    with store.writing("Mara") as desk:
        plan = add_plan(desk, document, from_rack=True)
    with store.writing("Ben") as desk:
        count(desk, "B1", 0, anyway=True)
        assert "B1" not in kept_by(desk, plan.id)
        assert list(differences(desk)) == []
        assert [line.happened for line in history(desk, "B1")][-2:] == ["release", "count"]


def test_two_plans_never_keep_the_same_board_and_all_that_is_gone_is_said(
    store: Store, document: dict[str, Any]
) -> None:
    fill(store)
    with store.writing("Mara") as desk:
        add_plan(desk, document, from_rack=True)
    document["title"] = "Another"
    with pytest.raises(FaultsError) as found, store.writing("Ben") as desk:
        add_plan(desk, document, from_rack=True)
    assert sorted(fault.what.split(":")[0] for fault in found.value.faults) == ["B1", "B2", "O1"]
    with store.reading() as desk:
        assert list(differences(desk)) == []


def test_several_who_want_one_board_at_once_get_it_once(store: Store, document: dict[str, Any]) -> None:
    fill(store)
    numbers: list[int] = []
    for name in ("one", "two", "three", "four"):
        with store.writing(name) as desk:
            numbers.append(add_plan(desk, {**document, "title": name}).id)
    got: list[int] = []

    def want(plan: int) -> None:
        try:
            with store.writing(str(plan)) as desk:
                reserve(desk, plan, {"B3": 1, "B1": 1})
            got.append(plan)
        except FaultsError:
            pass

    threads = [threading.Thread(target=want, args=(plan,)) for plan in numbers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(got) == 1
    with store.reading() as desk:
        assert kept_by(desk, got[0]) == {"B1": 1, "B3": 1}
        assert list(differences(desk)) == []
