"""Screws, glue, staples and primer are kept for a plan, taken by building, said where short, let go with it."""

from __future__ import annotations

from typing import Any

from longpoint.choosing.by_rule import design_of
from longpoint.jobs.plan import plan_batch
from longpoint.model.reading import parse_batch
from longpoint.store import Store
from longpoint.store.book.plans import add_plan, close_batch
from longpoint.store.book.ticks import copies, set_state
from longpoint.store.book.using import short_of
from longpoint.store.rack.days import differences
from longpoint.store.rack.for_plan import with_rack
from longpoint.store.rack.reserving import kept_by
from longpoint.store.rack.stock import count, history, put, thing
from store.making import RACK, fill, supply

SCREWS = "screw 3.5 × 45 mm"


def stocked(store: Store) -> None:
    """The rack of the small plan, with two boxes of staples of which the second is open, screws, glue, no primer."""
    fill(store)
    with store.writing("Mara") as desk:
        put(
            desk,
            [
                supply(100, what="staples"),
                supply(70, what="staples", opened="2026-02-01"),
                supply(200, what=SCREWS, kind="screw"),
                supply(250.5, what="PVA wood glue", kind="glue"),
                supply(20, what="hooks", kind="other"),
            ],
        )


def kept(store: Store, document: dict[str, Any]) -> Any:
    with store.writing("Mara") as desk:
        return add_plan(desk, document, from_rack=True)


def test_a_plan_says_what_each_copy_takes_and_when(document: dict[str, Any]) -> None:
    said = {(one["kind"], one["name"], one["by"]): one["amount"] for one in document["supplies"]}
    row = document["works"][0]
    assert said[("screw", SCREWS, "assembled")] == row["build"]["screws"][0]["count"] == 8
    assert said[("glue", "PVA wood glue", "assembled")] == row["build"]["glue_grams"]
    assert said[("staple", "staples", "stretched")] == 60
    assert (
        said[("primer", "acrylic primer", "primed")]
        == row["canvas"]["primer_litres"]["acrylic primer"]["middle"]
    )
    # what all copies take is what the buying list needs
    need = {line["what"]: line["need"] for line in document["buying"]}
    assert (need[SCREWS], need["staples, leg 10 mm"], need["D-ring plate"]) == (24, 180, 6)
    assert said[("hanger", "D-ring plate", "hung")] == 2


def test_what_lies_there_is_not_bought(store: Store) -> None:
    stocked(store)
    with store.reading() as desk:
        stated, _ = with_rack(desk, parse_batch(RACK))
    buying = {line.what.key: line for line in plan_batch(stated, choose=design_of).buying}
    assert (buying["staples"].have, buying["staples"].need, buying["staples"].buy) == (170, 180, 1)
    assert {(s.length, s.at_hand) for s in stated.screw if s.at_hand} == {(45, 200)}


def test_building_takes_what_is_kept_and_says_what_is_short(store: Store, document: dict[str, Any]) -> None:
    stocked(store)
    plan = kept(store, document)
    with store.writing("Ben") as desk:
        # the open box first, then the other; 10 are short
        assert {label: much for label, much in kept_by(desk, plan.id).items() if label.startswith("S")} == {
            "S2": 100_000, "S3": 70_000, "S4": 24_000, "S5": 10_200,
        }  # fmt: skip
        (short,) = short_of(desk, plan.id, plan.batch, document)
        assert short.words == "staples: 180 needed, 170 in the rack for it; 10 short"
        done = set_state(desk, "W1", "assembled")
        assert done.used == (
            f"S4: {SCREWS}, 192, kept for a plan",
            "S5: PVA wood glue, 247.1 g, kept for a plan",
        )
        assert done.short == ()
        line = history(desk, "S4")[-1]
        assert (line.happened, line.amount, line.plan, line.who, line.note) == (
            "taking", 8000, plan.id, "Ben", "W1 assembled",
        )  # fmt: skip
        assert thing(desk, "S3").amount == 70_000
        set_state(desk, "W1", "stretched")
        assert (thing(desk, "S2").amount, thing(desk, "S3").amount) == (100_000, 10_000)
        # back and forth takes nothing twice; a state that was passed over takes its own
        set_state(desk, "W1", "cut")
        assert set_state(desk, "W1", "stretched").used == ()
        assert len(set_state(desk, "W2", "stretched").used) == 4
        last = set_state(desk, "W3", "stretched")
        assert last.short == ("staples: 60 needed, 50 in the rack for it; 10 short",)
        assert thing(desk, "S4").amount == 176_000 and list(differences(desk)) == []
        assert kept_by(desk, plan.id).keys() & {"S2", "S3", "S4", "S5"} == set()


def test_what_is_kept_of_supplies_goes_with_its_plan(store: Store, document: dict[str, Any]) -> None:
    stocked(store)
    plan = kept(store, document)
    with store.writing("Mara") as desk:
        set_state(desk, "W1", "stretched")
    again = kept(store, {**document, "revision": "second"})
    with store.writing("Mara") as desk:
        # the copy that has its screws and staples needs no more
        assert (kept_by(desk, again.id)["S4"], kept_by(desk, again.id)["S2"]) == (16_000, 100_000)
        assert kept_by(desk, plan.id) == {}
        count(desk, "S4", 10_000, anyway=True)
        assert kept_by(desk, again.id)["S4"] == 10_000
        close_batch(desk, plan.batch, "dropped")
        assert [thing(desk, label).reserved for label in ("S2", "S3", "S4", "S5")] == [0, 0, 0, 0]
        assert list(differences(desk)) == []


def test_a_plan_that_is_not_from_the_rack_takes_nothing_of_it(store: Store, document: dict[str, Any]) -> None:
    stocked(store)
    with store.writing("Mara") as desk:
        add_plan(desk, document)
        done = set_state(desk, copies(desk)[0].label, "hung")
        assert (done.used, done.short) == ((), ()) and thing(desk, "S4").amount == 200_000
