"""The rack as a table: every fault at once, and what is written is read again."""

from __future__ import annotations

import pytest

from longpoint.errors import FaultsError
from longpoint.export.tables import csv_of
from longpoint.export.workbook import SheetOf, xlsx_of
from longpoint.store import Store, open_store, place_of
from longpoint.store.rack.files import HEAD, all_rows, preview, read_table, values_of
from longpoint.store.rack.stock import listed, put
from store.making import board, cloth, supply


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_what_is_written_brings_the_same_things_again(lite: Store, kind: str, tmp_path: object) -> None:
    with lite.writing("Mara") as desk:
        knot = [{"start": 100, "stop": 180.5, "why": "knot"}, {"start": 900, "stop": 950}]
        put(desk, [board(2400, avoid=knot, bevelled=True, cost="6.20"), board(name="=1+1", place="-left-")])
        put(
            desk,
            [
                board(812.396875, serves="rail", crook=3),
                cloth(mass=320, cloth="linen"),
                supply(12.5, kind="glue"),
            ],
        )
        rows = all_rows(desk)
        before = [(one.label, one.kind, one.amount) for one in listed(desk)]
        facts = [dict(one.facts) for one in listed(desk)]
    table = SheetOf("rack", HEAD, rows)
    contents = csv_of(table) if kind == "csv" else xlsx_of([table])
    other = open_store(place_of(f"{tmp_path}/other", {}))
    with other.writing("Ben") as desk:
        found = preview(desk, read_table(contents, file="r"), file="r")
        assert found.faults == ()
        assert found.counts == {"board": 3, "roll": 1, "supply": 1}
        put(desk, found.things)
        assert [(one.label, one.kind, one.amount) for one in listed(desk)] == before
        again = [dict(one.facts) for one in listed(desk)]
    other.close()
    # a span without a reason gets the door's own
    for old, new in zip(facts, again, strict=True):
        assert {key: new[key] for key in old if key != "avoid"} == {
            key: old[key] for key in old if key != "avoid"
        }
        assert [(one["start"], one["stop"]) for one in old.get("avoid", ())] == [
            (one["start"], one["stop"]) for one in new.get("avoid", ())
        ]


BAD = """kind;label;thickness;depth;length;grade;bevelled;colour;how_many
board;A;21;44;2,4 m;bars;no;;2
bord;;21;44;100;;;;
board;A;21;44;1.2.3;bars;perhaps;;
board;B1;21;44;2400;finest;yes;;x
roll;;;;;;;;
"""


def test_all_faults_of_a_table_are_said_with_their_lines_and_nothing_comes(lite: Store) -> None:
    with lite.writing("Mara") as desk:
        put(desk, [board()])
        found = preview(desk, read_table(BAD.encode(), file="b.csv"), file="b.csv")
    said = [(fault.where.line, fault.where.key) for fault in found.faults]
    assert {(1, "colour"), (3, "kind"), (4, "bevelled"), (5, "grade"), (5, "how_many"), (6, "width")} <= set(
        said
    )
    assert said == sorted(said, key=lambda one: one[0] or 0)


def test_a_table_without_kinds_and_files_that_are_none_are_refused(lite: Store) -> None:
    with lite.reading() as desk:
        assert preview(desk, [["label"]], file="x").faults[0].code == "no-kind"
        assert preview(desk, [], file="x").faults[0].code == "no-kind"
    for contents, code in ((b"PK\x03\x04junk", "not-xlsx"), (b"\xff\xfe\x00", "not-utf-8")):
        with pytest.raises(FaultsError) as found:
            read_table(contents, file="x")
        assert found.value.faults[0].code == code


def test_facts_written_by_hand_are_read_in_the_unit_that_is_said() -> None:
    assert values_of(["length=47 1/4", "place=door", "crook="], unit="in") == {
        "length": "47 1/4 in",
        "place": "door",
        "crook": None,
    }
    with pytest.raises(FaultsError, match="says nothing"):
        values_of(["length"], unit="mm")
