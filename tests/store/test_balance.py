"""Random takings, returns, plans, cuts, counts and crashes keep the rack as a model in memory says."""

from __future__ import annotations

import sys
import tempfile
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from longpoint.errors import FaultsError
from longpoint.store import open_store, place_of
from longpoint.store.book import plans, ticks
from longpoint.store.book.document import boards_of
from longpoint.store.book.plans import add_plan, close_batch, document, plan
from longpoint.store.book.ticks import tick_board
from longpoint.store.rack import stock
from longpoint.store.rack.days import differences, rack_at
from longpoint.store.rack.reserving import kept_by
from longpoint.store.rack.stock import count, give_back, listed, put, take
from store.making import Clock, board, plan_of


class Crash(Exception):
    """A program that ends in the middle of a transaction."""


class Bench(RuleBasedStateMachine):
    """The store beside a model: what is there, and which plan keeps it."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.store = open_store(place_of(self.folder.name, {}), clock=Clock())
        self.there: dict[str, bool] = {}
        self.keeper: dict[str, str] = {}  # board -> title of the batch whose plan keeps it
        self.plans: dict[str, int] = {}
        self.days: list[tuple[Any, list[str]]] = []
        self.revision = 0

    def teardown(self) -> None:
        with self.store.reading() as desk:
            for moment, labels in self.days:
                assert sorted(one.label for one in rack_at(desk, moment)) == labels
        self.store.close()
        self.folder.cleanup()

    def _tried(self, wanted: bool, change: Any) -> bool:
        """Whether a change was taken, which it must be just where the model says."""
        try:
            with self.store.writing("Mara") as desk:
                change(desk)
        except FaultsError:
            assert not wanted
            return False
        assert wanted
        return True

    def _one(self, number: int) -> str:
        return sorted(self.there)[number % len(self.there)]

    @rule(many=st.integers(1, 3))
    def come(self, many: int) -> None:
        with self.store.writing("Mara") as desk:
            self.there |= dict.fromkeys(put(desk, [board(how_many=many)]), True)

    @precondition(lambda self: self.there)
    @rule(number=st.integers(0, 99))
    def taken(self, number: int) -> None:
        label = self._one(number)
        if self._tried(self.there[label] and label not in self.keeper, lambda desk: take(desk, label, 1)):
            self.there[label] = False

    @precondition(lambda self: self.there)
    @rule(number=st.integers(0, 99))
    def back(self, number: int) -> None:
        label = self._one(number)
        if self._tried(not self.there[label], lambda desk: give_back(desk, label)):
            self.there[label] = True

    @precondition(lambda self: self.there)
    @rule(number=st.integers(0, 99), found=st.booleans(), anyway=st.booleans())
    def counted(self, number: int, found: bool, anyway: bool) -> None:
        label = self._one(number)
        may = found or anyway or label not in self.keeper
        if self._tried(may, lambda desk: count(desk, label, int(found), anyway=anyway)):
            self.there[label] = found
            if not found:
                self.keeper.pop(label, None)

    @precondition(lambda self: self.there)
    @rule(title=st.sampled_from("ABC"), numbers=st.sets(st.integers(0, 99), max_size=4))
    def planned(self, title: str, numbers: set[int]) -> None:
        labels = sorted({self._one(number) for number in numbers})
        self.revision += 1
        made: list[int] = []
        free = all(self.there[label] and self.keeper.get(label, title) == title for label in labels)
        wish = plan_of(title, self.revision, labels)
        if self._tried(free, lambda desk: made.append(add_plan(desk, wish, from_rack=True).id)):
            self.keeper = {label: who for label, who in self.keeper.items() if who != title}
            self.keeper |= dict.fromkeys(labels, title)
            self.plans[title] = made[0]

    @precondition(lambda self: self.plans)
    @rule(number=st.integers(0, 9), which=st.integers(0, 9))
    def cut(self, number: int, which: int) -> None:
        title = sorted(self.plans)[number % len(self.plans)]
        with self.store.writing("Ben") as desk:
            boards = boards_of(document(desk, self.plans[title]))
            if not boards:
                return
            one = boards[which % len(boards)]
            found = tick_board(desk, self.plans[title], one)
        if self.keeper.get(one.board) == title:
            assert found.taken in ("", one.board)
            if found.taken:
                self.there[one.board] = False
                del self.keeper[one.board]
        else:
            assert not found.taken
        self.there |= dict.fromkeys(found.offcuts, True)

    @precondition(lambda self: self.plans)
    @rule(number=st.integers(0, 9), state=st.sampled_from(("done", "dropped")))
    def closed(self, number: int, state: str) -> None:
        title = sorted(self.plans)[number % len(self.plans)]
        with self.store.writing("Mara") as desk:
            freed = close_batch(desk, plan(desk, self.plans.pop(title)).batch, state)
        assert sorted(freed) == sorted(label for label, who in self.keeper.items() if who == title)
        self.keeper = {label: who for label, who in self.keeper.items() if who != title}

    @precondition(lambda self: self.there)
    @rule(number=st.integers(0, 99))
    def crashed(self, number: int) -> None:
        label = self._one(number)
        try:
            with self.store.writing("Mara") as desk:
                put(desk, [board()])
                count(desk, label, 0, anyway=True)
                raise Crash
        except Crash:
            pass

    @rule()
    def opened_again(self) -> None:
        clock = self.store._clock
        self.store.close()
        self.store = open_store(place_of(self.folder.name, {}), clock=clock)

    @invariant()
    def balanced(self) -> None:
        with self.store.reading() as desk:
            now = {one.label: bool(one.reserved) for one in listed(desk, limit=None)}
            assert now == {label: label in self.keeper for label, there in self.there.items() if there}
            for title, plan in self.plans.items():
                kept = {label for label, who in self.keeper.items() if who == title}
                assert set(kept_by(desk, plan)) == kept
            assert list(differences(desk)) == []
            self.days.append((desk.now, sorted(now)))


Bench.TestCase.settings = settings(
    max_examples=12, stateful_step_count=20, deadline=None, suppress_health_check=list(HealthCheck)
)
TestBench = Bench.TestCase


def _forgets_to_let_go(desk: Any, plan: int, *, note: str = "") -> list[str]:
    return []


def _puts_twice(desk: Any, stated: Any, *, note: str = "") -> list[str]:
    put(desk, stated, note=note)
    return put(desk, stated, note=note)


def _takes_silently(desk: Any, label: str, amount: int) -> None:
    (item,) = stock.locked(desk, [label]).values()
    if item.reserved or not item.amount:
        stock.take(desk, label, amount)  # which refuses
    item.amount = 0


@pytest.mark.slow
@pytest.mark.parametrize(
    ("where", "name", "planted"),
    [(plans, "release", _forgets_to_let_go), (ticks, "put", _puts_twice), (None, "take", _takes_silently)],
    ids=["a replaced plan keeps its boards", "an offcut comes back twice", "a taking is not in the journal"],
)
def test_the_machine_finds_a_planted_fault(
    monkeypatch: pytest.MonkeyPatch, where: Any, name: str, planted: Any
) -> None:
    monkeypatch.setattr(where or sys.modules[__name__], name, planted)
    quick = settings(
        max_examples=25, stateful_step_count=20, deadline=None, phases=[Phase.generate], derandomize=True,
        database=None, report_multiple_bugs=False, suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    with pytest.raises(AssertionError):
        run_state_machine_as_test(Bench, settings=quick)
