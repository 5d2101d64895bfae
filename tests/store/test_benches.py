"""People sign in, long work waits its turn, photographs lie beside the store."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from datetime import timedelta
from typing import Any

import pytest

from longpoint.errors import FaultsError, refuse
from longpoint.store import ConflictError, Store
from longpoint.store.benches import queue
from longpoint.store.benches.people import (
    STAYS,
    TRIES,
    TRIES_FROM,
    WITHIN,
    Who,
    add_person,
    anybody,
    change_person,
    people,
    sign_in,
    sign_out,
    trail,
    who_is,
)
from longpoint.store.book.photographs import LARGEST, attach, photographs
from longpoint.store.book.plans import add_plan
from longpoint.store.tables import Person, SignedIn
from store.making import Clock

JPEG = b"\xff\xd8\xff\xe0" + b"x" * 200


def test_somebody_signs_in_stays_for_a_while_and_signs_out(store: Store) -> None:
    with store.writing("setup") as desk:
        assert not anybody(desk)
        assert add_person(desk, "Mara", "five wet brushes", "own") == Who("Mara", "own")
        assert anybody(desk)
    assert sign_in(store, "Mara", "five wet brushe") is None
    assert sign_in(store, "Nobody", "five wet brushes") is None
    token = sign_in(store, "Mara", "five wet brushes")
    other = sign_in(store, "Mara", "five wet brushes")
    assert token and other and token != other
    with store.writing("page") as desk:
        assert who_is(desk, token) == Who("Mara", "own")
        assert who_is(desk, "x" + token) is None
        # nobody who reads the store can sign in with what stands there
        kept = [row.token for row in desk.session.query(SignedIn)] + [
            row.password for row in desk.session.query(Person)
        ]
        assert (
            token not in kept
            and not any("wet" in each for each in kept)
            and kept[-1].startswith("$argon2id$")
        )
        sign_out(desk, token)
        assert who_is(desk, token) is None and who_is(desk, other) is not None
    assert isinstance(store._clock, Clock)
    store._clock.now += STAYS
    with store.reading() as desk:
        assert who_is(desk, other) is None
        assert [line.what for line in trail(desk)][:3] == ["signed out", "signed in", "signed in"]


def test_roles_allow_what_those_before_them_allow() -> None:
    assert [Who("x", "bench").may(role) for role in ("look", "bench", "plan", "own")] == [
        True,
        True,
        False,
        False,
    ]


def test_too_many_wrong_passwords_shut_a_name_for_a_while(lite: Store) -> None:
    with lite.writing("setup") as desk:
        add_person(desk, "Mara", "five wet brushes", "own")
        add_person(desk, "Ben", "two dry palettes", "bench")
    assert isinstance(lite._clock, Clock)
    lite._clock.step = timedelta(0)
    for _ in range(TRIES):
        assert sign_in(lite, "Mara", "guess guess") is None
    assert sign_in(lite, "Mara", "five wet brushes") is None
    assert sign_in(lite, "Ben", "two dry palettes")
    lite._clock.now += WITHIN
    assert sign_in(lite, "Mara", "five wet brushes")


def test_too_many_wrong_passwords_shut_an_address_for_a_while(
    lite: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    with lite.writing("setup") as desk:
        add_person(desk, "Mara", "five wet brushes", "own")
    assert isinstance(lite._clock, Clock)
    lite._clock.step = timedelta(0)
    looked_at = 0

    def wrong(_kept: str, _password: str) -> bool:
        nonlocal looked_at
        looked_at += 1
        return False

    with monkeypatch.context() as slower:
        slower.setattr("longpoint.store.benches.people._is_right", wrong)
        for number in range(TRIES_FROM + 30):
            assert sign_in(lite, f"name {number}", "guess guess", where="192.0.2.7") is None
    assert looked_at == TRIES_FROM  # what is not looked at costs nothing
    assert sign_in(lite, "Mara", "five wet brushes", where="192.0.2.7") is None
    assert sign_in(lite, "Mara", "five wet brushes", where="192.0.2.8")


def test_an_account_that_is_changed_or_closed_signs_nobody_in_and_one_owner_is_left(lite: Store) -> None:
    with lite.writing("setup") as desk:
        add_person(desk, "Mara", "five wet brushes", "own")
        add_person(desk, "Ben", "two dry palettes", "bench")
    token = sign_in(lite, "Ben", "two dry palettes") or ""
    with lite.writing("setup") as desk:
        change_person(desk, "Ben", role="plan")
        assert who_is(desk, token) is None
        for change in ({"close": True}, {"role": "look"}):
            with pytest.raises(FaultsError, match="last who keeps accounts"):
                change_person(desk, "Mara", **change)  # type: ignore[arg-type]
        change_person(desk, "Ben", close=True)
        assert people(desk) == [Who("Mara", "own")]
    assert sign_in(lite, "Ben", "two dry palettes") is None
    with lite.writing("setup") as desk:
        with pytest.raises(FaultsError) as found:
            add_person(desk, "", "short", "king")  # type: ignore[arg-type]
        assert {fault.where.key for fault in found.value.faults} == {"name", "password", "role"}


def done_by(name: str, said: list[str]) -> Any:
    def do(given: Mapping[str, Any], say: queue.Say) -> dict[str, Any]:
        said.append(f"{name}:{given['number']}")
        say("half", 0.5)
        return {"twice": 2 * given["number"]}

    return do


def test_each_work_is_done_once_however_many_run(store: Store) -> None:
    assert isinstance(store._clock, Clock)
    store._clock.step = timedelta(milliseconds=1)
    with store.writing("Mara") as desk:
        numbers = [queue.ask(desk, "study", {"number": n}) for n in range(12)]
    said: list[str] = []

    def run(name: str) -> None:
        while queue.run_one(store, name, {"study": done_by(name, said)}):
            pass

    threads = [threading.Thread(target=run, args=(f"r{n}",)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(int(each.split(":")[1]) for each in said) == list(range(12))
    with store.reading() as desk:
        found = [queue.work(desk, number) for number in numbers]
    assert [(one.state, one.answer, one.share, one.tries) for one in found] == [
        ("done", {"twice": 2 * n}, 1.0, 1) for n in range(12)
    ]


def test_a_work_whose_runner_died_waits_again_and_the_dead_cannot_end_it(store: Store) -> None:
    assert isinstance(store._clock, Clock)
    with store.writing("Mara") as desk:
        number = queue.ask(desk, "study", {"number": 3})
    with store.writing("dead") as desk:
        assert queue.take_next(desk, "dead", ("study",)) is not None
        assert queue.take_next(desk, "other", ("study",)) is None
    store._clock.now += queue.LOST

    def do(given: Mapping[str, Any], say: queue.Say) -> dict[str, Any]:
        with pytest.raises(ConflictError), store.writing("dead") as desk:
            queue.end(desk, number, "dead", answer={})
        with pytest.raises(queue.Cancelled), store.writing("dead") as desk:
            queue.say_on(desk, number, "dead")
        return dict(given)

    assert queue.run_one(store, "alive", {"study": do})
    with store.reading() as desk:
        assert (queue.work(desk, number).state, queue.work(desk, number).tries) == ("done", 2)


def test_a_work_that_kills_every_runner_is_given_up(lite: Store) -> None:
    assert isinstance(lite._clock, Clock)
    with lite.writing("Mara") as desk:
        number = queue.ask(desk, "study", {})
    for n in range(queue.MOST_TRIES):
        with lite.writing("r") as desk:
            assert queue.take_next(desk, f"r{n}", ("study",)) is not None
        lite._clock.now += queue.LOST
    assert not queue.run_one(lite, "last", {"study": done_by("last", [])})
    with lite.reading() as desk:
        assert (
            queue.work(desk, number).state == "failed" and "died each time" in queue.work(desk, number).says
        )


def test_a_work_is_cancelled_before_and_while_it_runs_and_says_why_it_failed(lite: Store) -> None:
    with lite.writing("Mara") as desk:
        first, second, third, fourth = (
            queue.ask(desk, kind, {"number": 1}) for kind in ("study", "stop", "bad", "bug")
        )
        assert queue.cancel(desk, first).state == "cancelled"

    def stopped(given: Mapping[str, Any], say: queue.Say) -> dict[str, Any]:
        with lite.writing("Mara") as desk:
            queue.cancel(desk, second)
        say("on", 0.1)
        raise AssertionError

    def bad(given: Mapping[str, Any], say: queue.Say) -> dict[str, Any]:
        raise refuse("too-long", "the bar is too long.", "Make it shorter.")

    doers: dict[str, Any] = {"stop": stopped, "bad": bad, "bug": lambda given, say: 1 / 0}
    while queue.run_one(lite, "r", doers):
        pass
    with lite.reading() as desk:
        states = {number: queue.work(desk, number) for number in (first, second, third, fourth)}
    assert [one.state for one in states.values()] == ["cancelled", "cancelled", "failed", "failed"]
    assert "too long" in states[third].says and "ZeroDivisionError" in states[fourth].says


def test_photographs_are_files_kept_once_and_only_pictures(lite: Store, document: dict[str, Any]) -> None:
    with lite.writing("Mara") as desk:
        add_plan(desk, document)
        one = attach(desk, "W1", JPEG, caption="the back")
        assert attach(desk, "W1", JPEG).id == one.id
        assert one.file.read_bytes() == JPEG and one.file.is_relative_to(lite.place.folder)
        attach(desk, "W2", JPEG)
        for wrong, why in (
            (b"MZ\x00", "no photograph"),
            (b"RIFFxxxxWAVE", "no photograph"),
            (JPEG[:4] * LARGEST, "MB"),
        ):
            with pytest.raises(FaultsError, match=why):
                attach(desk, "W1", wrong)
        assert [each.caption for each in photographs(desk, "W1")] == ["the back"]
    assert len([path for path in lite.place.folder.rglob("*") if path.suffix == ".jpeg"]) == 1
