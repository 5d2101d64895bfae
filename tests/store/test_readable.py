"""Everything goes out into a folder that a person can read, and comes in again as it was, on either database."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from longpoint.errors import FaultsError
from longpoint.store import Place, Store, open_store, place_of
from longpoint.store.benches.people import add_person
from longpoint.store.benches.queue import ask
from longpoint.store.book.document import boards_of
from longpoint.store.book.photographs import attach
from longpoint.store.book.plans import add_plan
from longpoint.store.book.ticks import set_state, tick_board, tick_step
from longpoint.store.book.values import measure
from longpoint.store.keeping.archive import check_store, write_archive
from longpoint.store.keeping.readable import read_readable, write_readable
from longpoint.store.rack.stock import correct, count, listed, put, take
from store.making import Clock, board, cloth, fill, supply
from store.test_work_file import picture


def prints(store: Store) -> Any:
    """Fingerprints of every row and photograph."""
    out = io.BytesIO()
    write_archive(store, out)
    with zipfile.ZipFile(out) as archive:
        return json.loads(archive.read("store.json"))["files"]


def rows_in(file: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(file.read_bytes().decode(), newline="")))


def lived_in(store: Store, document: dict[str, Any]) -> None:
    fill(store)
    with store.writing("Mara") as desk:
        put(
            desk,
            [
                supply(12.5, what="PVA wood glue", kind="glue"),
                board(1194.196875, avoid=[{"start": 1, "stop": 2}]),
            ],
        )
        plan = add_plan(desk, document, from_rack=True)
        tick_board(desk, plan.id, boards_of(document)[0])
        tick_step(desk, "W1", 1)
        set_state(desk, "W1", "assembled")
        measure(desk, "mass", 1.1, label="W1")
        measure(desk, "stiffness", 22_000.125, about="R1")
        attach(desk, "W1", picture(), caption="=1+1 \"back\", 'old'\r\nsecond line; Ä")
        add_person(desk, "Mara", "five wet brushes", "own")
        ask(desk, "plan", {"batch": "b.toml"})
        correct(desk, "B3", {"place": "-door"}, note="@shelf")
        count(desk, "R1", 5_999_999_999, anyway=True)
    with store.writing("Mara") as desk:
        add_plan(desk, {**document, "revision": "second"}, note="'quoted'")


def test_what_comes_in_again_is_what_went_out(
    store: Store, place: Place, document: dict[str, Any], tmp_path: Path
) -> None:
    lived_in(store, document)
    told = write_readable(store, tmp_path / "out")
    assert (told["plan"], told["photographs"]) == (2, 1)
    same = place.file is not None and store.engine.dialect.name == "sqlite"
    other = open_store(
        place_of(str(tmp_path / "third"), {}) if same else Place(place.url, tmp_path / "other")
    )
    try:
        read_readable(other, tmp_path / "out")
        assert check_store(other) == [] and prints(other) == prints(store)
        with other.writing("Ben") as desk:  # labels and numbers go on
            assert put(desk, [board()]) == ["B5"]
        with pytest.raises(FaultsError, match="holds something already"):
            read_readable(other, tmp_path / "out")
    finally:
        other.close()


def test_a_person_can_read_it(lite: Store, document: dict[str, Any], tmp_path: Path) -> None:
    lived_in(lite, document)
    write_readable(lite, tmp_path / "out")
    rows = {row["label"]: row for row in rows_in(tmp_path / "out" / "things.csv")}
    assert (rows["B4"]["length"], rows["B4"]["is"]) == ("1194.196875", "1")
    assert (rows["R1"]["amount"], rows["R1"]["is"]) == ("5999.999999", "6.00 m")
    assert rows["S2"]["amount"] == "9.1" and rows["B3"]["place"] == "'-door"
    journal = rows_in(tmp_path / "out" / "journal.csv")
    assert {"taking", "correction", "receipt"} <= {
        row["kind"] for row in journal if row["label"] in ("B1", "B3")
    }
    plan = json.loads((tmp_path / "out" / "plans" / "batch-1-plan-1.json").read_text(encoding="utf-8"))
    assert plan == document
    said = (tmp_path / "out" / "README.md").read_text(encoding="utf-8")
    (photo,) = rows_in(tmp_path / "out" / "photographs.csv")
    assert (tmp_path / "out" / photo["file"]).read_bytes() == picture() and photo["label"] == "W1"
    for file in (tmp_path / "out").glob("*.csv"):
        assert f"## {file.name}" in said
    assert "- length: Of a board." in said
    with pytest.raises(FaultsError, match="there already"):
        write_readable(lite, tmp_path / "out")


def test_a_folder_that_was_changed_is_refused_and_leaves_nothing(
    lite: Store, document: dict[str, Any], tmp_path: Path
) -> None:
    lived_in(lite, document)
    out = tmp_path / "out"
    write_readable(lite, out)
    other = open_store(place_of(str(tmp_path / "other"), {}))
    for name, why in (("journal.csv", "not as it was written"), ("plans/batch-1-plan-1.json", "is missing")):
        kept = (out / name).read_bytes()
        if "missing" in why:
            (out / name).unlink()
        else:
            (out / name).write_bytes(kept.replace(b"receipt", b"return"))
        with pytest.raises(FaultsError, match=why):
            read_readable(other, out)
        (out / name).write_bytes(kept)
        with other.reading() as desk:
            assert listed(desk) == []
    with pytest.raises(FaultsError, match="no backup"):
        read_readable(other, tmp_path)
    read_readable(other, out)
    other.close()


WORDS = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=12)


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    notes=st.lists(WORDS, min_size=1, max_size=4),
    amounts=st.lists(st.integers(1, 10**11), min_size=1, max_size=3),
)
def test_whatever_is_written_comes_back(
    tmp_path_factory: pytest.TempPathFactory, notes: list[str], amounts: list[int]
) -> None:
    folder = tmp_path_factory.mktemp("readable")
    store, other = (open_store(place_of(str(folder / name), {}), clock=Clock()) for name in ("one", "two"))
    with store.writing("Mara") as desk:
        put(desk, [cloth(900_000), supply(999_999)])
        for note in notes:
            put(desk, [board()], note=note)
        for amount in amounts:
            take(desk, "R1", amount, note=notes[0])
            take(desk, "S1", amount // 10**6 + 1)
    write_readable(store, folder / "out")
    read_readable(other, folder / "out")
    assert prints(other) == prints(store)
    store.close()
    other.close()
