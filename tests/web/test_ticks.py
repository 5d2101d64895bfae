"""Ticks of pages stand in the build book: who and when, none lost, none twice, of whichever plan they are about."""

from __future__ import annotations

import json
import threading
from pathlib import Path
from typing import Any

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.export.rows.plan import plan_json
from longpoint.jobs.plan import plan_batch
from longpoint.model.reading import parse_batch
from longpoint.store import Store, open_store, place_of
from longpoint.store.book.document import boards_of
from longpoint.store.book.plans import batches, plans
from longpoint.store.book.ticks import copies, tick_step, ticks, ticks_of_copy
from longpoint.web.desk import Desk
from longpoint.web.ticks import Tick, Ticks
from store.making import BEGAN, RACK, Clock


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(plan_json(plan_batch(parse_batch(RACK), choose=design_of)))
    return found


class Bench:
    """A desk with one batch that is planned, and its ticks."""

    def __init__(self, folder: Path, document: dict[str, Any]) -> None:
        self.desk = Desk(folder)
        self.store: Store = open_store(place_of(str(folder), {}), clock=Clock())
        self.ticks = Ticks(self.desk, self.store)
        self.ident = self.desk.new_batch("a", title="A", works=1)
        self.document = document
        self.runs = 0
        self.plan(document)

    def plan(self, document: dict[str, Any]) -> None:
        """Another plan is done."""
        self.runs += 1
        folder = self.desk.home(self.ident) / "runs" / f"{self.runs:012x}"
        (folder / "out").mkdir(parents=True)
        (folder / "run.json").write_text(json.dumps({"number": self.runs}))
        (folder / "end.json").write_text(json.dumps({"state": "done", "revision": document["revision"]}))
        (folder / "out" / "plan.json").write_text(json.dumps(document))

    def cut(self, number: int = 1, document: dict[str, Any] | None = None) -> str:
        """What the page calls a cut of the first board."""
        said = document or self.document
        return f"{said['revision']}.0/{boards_of(said)[0].cut_key(number)}"

    def say(self, uid: str, kind: str, key: str, state: str = "done", who: str = "Mara", **more: Any) -> Any:
        return self.ticks.add(
            self.ident, [Tick(id=f"tick-{uid}", kind=kind, key=key, state=state, **more)], who=who
        )


@pytest.fixture
def bench(tmp_path: Path, document: dict[str, Any]) -> Bench:
    return Bench(tmp_path, document)


def test_the_first_tick_brings_the_plan_into_the_book_and_says_who(bench: Bench) -> None:
    assert bench.say("1111", "cut", bench.cut(), who="Ben").new == 1
    with bench.store.reading() as desk:
        (line,) = batches(desk)
        (plan,) = plans(desk, line.id)
        (tick,) = ticks(desk, plan.id, "cut")
        assert (plan.revision, tick.who, tick.done) == (bench.document["revision"], "Ben", True)
    assert bench.ticks.now(bench.ident, "cut")["cut"] == {bench.cut(): "done"}


def test_a_tick_sent_twice_counts_once_and_the_later_word_holds(bench: Bench) -> None:
    assert [bench.say("1111", "cut", bench.cut()).new for _ in range(2)] == [1, 0]
    bench.say("2222", "cut", bench.cut(), "spoiled")
    assert bench.ticks.now(bench.ident, "cut")["cut"] == {bench.cut(): "spoiled"}
    bench.say("1111", "cut", bench.cut(), "done")  # the old one once more, late: it changes nothing
    assert bench.ticks.now(bench.ident, "cut")["cut"] == {bench.cut(): "spoiled"}
    bench.say("3333", "cut", bench.cut(), "split")
    assert bench.ticks.now(bench.ident, "cut")["cut"] == {bench.cut(): "split"}
    bench.say("4444", "cut", bench.cut(), "")
    assert bench.ticks.now(bench.ident, "cut")["cut"] == {}


def test_a_step_is_done_once_it_is_done_for_every_copy(bench: Bench) -> None:
    revision = bench.document["revision"]
    assert bench.say("1111", "step", f"{revision}/A/1").new == 1
    assert bench.say("1111", "step", f"{revision}/A/1").new == 0
    assert bench.ticks.now(bench.ident, "step")["step"] == {f"{revision}/A/1": "done"}
    with bench.store.writing("Ben") as desk:
        labels = [one.label for one in copies(desk, words="Small")]
        assert [[one.key for one in ticks_of_copy(desk, label)] for label in labels] == [["1"]] * 3
        tick_step(desk, labels[1], 1, done=False)
    assert bench.ticks.now(bench.ident, "step")["step"] == {}


def test_what_no_plan_has_is_refused_and_keeps_nothing_else_from_being_kept(bench: Bench) -> None:
    revision = bench.document["revision"]
    wrong = [
        f"{revision}.0/nothing|B1|1|1",
        f"{revision}.7/{bench.cut().partition('/')[2]}",
        "abcdef0.0/x",
        "x",
    ]
    sent = [Tick(id=f"wrong-{n:03}", kind="cut", key=key, state="done") for n, key in enumerate(wrong)]
    sent += [Tick(id="wrong-step", kind="step", key=f"{revision}/A/999", state="done")]
    right = Tick(id="right-001", kind="buy", key="boards", state="done")
    kept = bench.ticks.add(bench.ident, [*sent, right], who="Mara")
    assert (kept.new, set(kept.refused)) == (1, {one.id for one in sent})
    assert bench.ticks.now(bench.ident, "buy", "cut") == {"buy": {"boards": "done"}, "cut": {}}


def test_a_tick_of_an_old_plan_that_comes_late_is_kept_and_the_new_plan_goes_on_holding(bench: Bench) -> None:
    newer = {**bench.document, "revision": "fedcba9", "title": "Reed beds, taller"}
    bench.plan(newer)
    bench.say("1111", "cut", bench.cut())
    bench.say("2222", "cut", bench.cut(2, newer))
    with bench.store.reading() as desk:
        (line,) = batches(desk)
        assert {one.revision: one.state for one in plans(desk, line.id)} == {
            "fedcba9": "standing",
            bench.document["revision"]: "replaced",
        }
    assert set(bench.ticks.now(bench.ident, "cut")["cut"]) == {bench.cut(), bench.cut(2, newer)}


def test_two_batches_of_one_title_do_not_share_their_ticks(bench: Bench) -> None:
    bench.say("1111", "cut", bench.cut())
    first, bench.ident = bench.ident, bench.desk.new_batch("b", title="A", works=1)
    bench.plan(bench.document)
    assert bench.ticks.now(bench.ident, "cut")["cut"] == {}
    bench.say("2222", "cut", bench.cut(), "spoiled")
    assert bench.ticks.now(first, "cut")["cut"] == {bench.cut(): "done"}
    with bench.store.reading() as desk:
        assert len(batches(desk)) == 2


def test_a_tick_says_when_it_was_made_unless_its_clock_is_wrong(bench: Bench) -> None:
    now = BEGAN.timestamp()
    for number, at in enumerate((now - 3600, now + 86400, 5.0)):
        bench.say(f"{number}000", "buy", f"thing {number}", at=at)
    with bench.store.reading() as desk:
        (line,) = batches(desk)
        said = [one.at.timestamp() for one in ticks(desk, plans(desk, line.id)[0].id, "buy")]
    assert abs(said[0] - now + 3600) < 1
    assert all(now <= one < now + 600 for one in said[1:])


def test_ticks_of_many_windows_at_once_are_all_kept_and_none_twice(bench: Bench) -> None:
    kept: list[int] = []

    def person(number: int) -> None:
        for count in range(10):
            for _ in range(2):  # every one is sent again
                kept.append(
                    bench.say(f"{number:03}-{count:03}", "buy", f"{number} {count}", who=f"P{number}").new
                )

    people = [threading.Thread(target=person, args=(number,)) for number in range(10)]
    for one in people:
        one.start()
    for one in people:
        one.join()
    assert sum(kept) == 100
    assert len(bench.ticks.now(bench.ident, "buy")["buy"]) == 100
    with bench.store.reading() as desk:
        (line,) = batches(desk)
        assert line.plans == 1


def test_without_a_plan_there_is_nothing_to_tick(bench: Bench) -> None:
    bench.ident = bench.desk.new_batch("b", title="B", works=1)
    assert bench.say("1111", "buy", "boards").refused == ("tick-1111",)


def test_runs_are_ticked_of_the_plan_they_are_of(bench: Bench) -> None:
    run = f"{bench.document['revision']}/A/1"
    assert bench.say("1111", "run", run).new == 1
    assert bench.ticks.now(bench.ident, "run")["run"] == {run: "done"}
    assert bench.say("2222", "run", "0000000/A/1").refused
