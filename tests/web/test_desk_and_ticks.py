"""Batches and ticks on disk: steps back, names that are made here, ticks that count once."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from longpoint.web.desk import Desk, NotThereError
from longpoint.web.ticks import Tick, TicksOnDisk


def test_steps_go_back_one_by_one_and_typing_in_one_field_is_one_step(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    ident = desk.new_batch("a", title="A", works=1)
    for text, step in (("ab", "work[1].width"), ("abc", "work[1].width"), ("abcd", "work[1].height")):
        desk.put(ident, text, title="A", works=1, step=step)
    assert desk.back(ident) == "abc"
    assert desk.back(ident) == "a"
    assert desk.back(ident) is None and desk.text(ident) == "a"


@pytest.mark.parametrize("name", ["../../etc", "..", "A" * 12, "", "0123456789ab/../..", "%2e%2e"])
def test_a_name_that_was_not_made_here_opens_nothing(tmp_path: Path, name: str) -> None:
    desk = Desk(tmp_path)
    with pytest.raises(NotThereError):
        desk.home(name)
    with pytest.raises(NotThereError):
        desk.run_home(desk.new_batch("a", title="A", works=1), name)


def _tick(number: int, state: str = "done", key: str = "") -> Tick:
    return Tick(id=f"tick-{number:06d}", kind="cut", key=key or f"cut {number}", state=state)


def test_a_tick_sent_twice_counts_once_and_the_later_word_holds(tmp_path: Path) -> None:
    ticks = TicksOnDisk()
    assert ticks.add(tmp_path, [_tick(1), _tick(1)]) == 1
    assert ticks.add(tmp_path, [_tick(1), _tick(2, "spoiled", "cut 1")]) == 1
    assert ticks.now(tmp_path, "cut") == {"cut 1": "spoiled"}
    ticks.add(tmp_path, [_tick(3, "", "cut 1")])
    assert TicksOnDisk().now(tmp_path, "cut") == {}


def test_ticks_of_many_at_once_are_all_kept(tmp_path: Path) -> None:
    ticks = TicksOnDisk()

    def person(number: int) -> None:
        for count in range(20):
            ticks.add(tmp_path, [_tick(100 * number + count)])

    people = [threading.Thread(target=person, args=(number,)) for number in range(10)]
    for one in people:
        one.start()
    for one in people:
        one.join()
    assert len(TicksOnDisk().now(tmp_path, "cut")) == 200


def test_a_line_torn_by_a_kill_costs_only_itself(tmp_path: Path) -> None:
    TicksOnDisk().add(tmp_path, [_tick(1), _tick(2)])
    path = tmp_path / "ticks.jsonl"
    path.write_bytes(path.read_bytes()[:-9])
    ticks = TicksOnDisk()
    assert set(ticks.now(tmp_path, "cut")) == {"cut 1"}
