"""Backup while others write, restore into either database, and a check that finds what is wrong."""

from __future__ import annotations

import io
import json
import threading
import zipfile
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from longpoint.errors import FaultsError
from longpoint.store import Place, Store, open_store
from longpoint.store.benches.people import add_person
from longpoint.store.book.photographs import attach
from longpoint.store.book.plans import add_plan
from longpoint.store.book.plans import document as kept_document
from longpoint.store.book.ticks import boards_of, tick_board
from longpoint.store.book.values import measure
from longpoint.store.keeping.archive import check_store, read_archive, write_archive
from longpoint.store.rack.stock import counted, listed, put
from store.making import board, fill

JPEG = b"\xff\xd8\xff\xe0" + b"x" * 200


def filled(store: Store, document: dict[str, Any]) -> None:
    fill(store)
    with store.writing("Mara") as desk:
        plan = add_plan(desk, document, from_rack=True)
        tick_board(desk, plan.id, boards_of(document)[0])
        measure(desk, "mass", 1.1, label="W1")
        attach(desk, "W1", JPEG)
        add_person(desk, "Mara", "five wet brushes", "own")


def backup(store: Store) -> io.BytesIO:
    out = io.BytesIO()
    write_archive(store, out)
    return out


def test_a_backup_is_read_into_the_other_database_and_says_the_same(
    store: Store, place: Place, document: dict[str, Any], tmp_path: Path
) -> None:
    filled(store, document)
    kept = backup(store)
    other = open_store(Place(place.url, tmp_path / "other"))
    if place.file is not None and store.engine.dialect.name == "sqlite":
        other.close()
        other = open_store(Place(f"sqlite:///{tmp_path}/third/longpoint.db", tmp_path / "third"))
    try:
        counts = read_archive(other, kept, file="b.zip")
        assert counts["event"] > 6 and check_store(other) == check_store(store) == []
        with store.reading() as one, other.reading() as two:
            assert listed(one, limit=None) == listed(two, limit=None)
            assert kept_document(two, 1) == document
        again = backup(other)
        with zipfile.ZipFile(kept) as first, zipfile.ZipFile(again) as second:
            assert (
                json.loads(first.read("store.json"))["files"]
                == json.loads(second.read("store.json"))["files"]
            )
        # numbers go on after what came in
        with other.writing("Ben") as desk:
            assert put(desk, [board()]) == ["B4"]
        with pytest.raises(FaultsError, match="holds something already"):
            read_archive(other, kept, file="b.zip")
    finally:
        other.close()


def test_a_backup_is_of_one_moment_though_others_write(store: Store, place: Place) -> None:
    fill(store)
    stop = threading.Event()

    def write() -> None:
        while not stop.is_set():
            with store.writing("Ben") as desk:
                put(desk, [board()])

    writer = threading.Thread(target=write)
    writer.start()
    try:
        kept = [backup(store) for _ in range(3)]
    finally:
        stop.set()
        writer.join()
    for one in kept:
        with zipfile.ZipFile(one) as archive:
            rows = json.loads(archive.read("store.json"))["rows"]
        assert rows["item"] == rows["event"] >= 6


def test_a_backup_that_was_changed_is_refused_and_leaves_nothing(
    lite: Store, document: dict[str, Any], tmp_path: Path
) -> None:
    filled(lite, document)
    whole = backup(lite).getvalue()
    other = open_store(Place(f"sqlite:///{tmp_path}/o/longpoint.db", tmp_path / "o"))

    def changed(name: str, change: Any, *, head: bool = False) -> io.BytesIO:
        import hashlib

        out = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(whole)) as source, zipfile.ZipFile(out, "w") as target:
            told = json.loads(source.read("store.json"))
            for each in source.namelist():
                contents = source.read(each)
                if each == name:
                    contents = change(contents)
                    told["files"][name] = hashlib.sha256(contents).hexdigest()
                if each != "store.json":
                    target.writestr(each, contents)
            if not head and name != "store.json":
                told = json.loads(source.read("store.json"))
            target.writestr("store.json", json.dumps(told))
        return out

    events = "tables/event.jsonl"
    cases = [
        (io.BytesIO(b"no zip"), "no backup"),
        (io.BytesIO(whole[: len(whole) // 2]), "no backup"),
        (changed(events, lambda old: old + b"{}\n"), "not as it was written"),
        (changed(events, lambda old: old + b"{broken\n", head=True), "cannot be read"),
        # its prints are right, but it tells no true story: a board came twice
        (
            changed(events, lambda old: old.replace(b'"kind": "taking"', b'"kind": "return"'), head=True),
            "cannot have been",
        ),
    ]
    for contents, why in cases:
        with pytest.raises(FaultsError, match=why):
            read_archive(other, contents, file="b.zip")
        with other.reading() as desk:
            assert counted(desk) == {}
    read_archive(other, io.BytesIO(whole), file="b.zip")
    other.close()


def test_the_check_finds_what_was_changed_behind_its_back(store: Store, document: dict[str, Any]) -> None:
    filled(store, document)
    assert check_store(store) == []
    with store.engine.begin() as connection:
        connection.execute(text("UPDATE item SET amount = 1 WHERE label = 'B1'"))
        connection.execute(text("UPDATE item SET length = 5 WHERE label = 'B3'"))
        connection.execute(
            text("DELETE FROM reservation WHERE item_id = (SELECT id FROM item WHERE label = 'B2')")
        )
    for file in store.place.folder.rglob("*.jpeg"):
        file.write_bytes(b"other")
    found = " ".join(check_store(store))
    for word in ("B1 stands at", "B2 stands at", "B3 is not found by", "was changed"):
        assert word in found
