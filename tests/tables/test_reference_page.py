"""The reference page of all tables is what the tables say now. LONGPOINT_WRITE_DOCS=1 writes it anew."""

from __future__ import annotations

import os
import re
from pathlib import Path

from longpoint.tables import reading, reference

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "tables.md"


def test_the_reference_page_is_what_the_tables_say():
    page = reference.tables_page()
    if os.environ.get("LONGPOINT_WRITE_DOCS") == "1":
        PAGE.parent.mkdir(parents=True, exist_ok=True)
        PAGE.write_text(page, encoding="utf-8")
    assert PAGE.read_text(encoding="utf-8") == page, "run this test with LONGPOINT_WRITE_DOCS=1"


def test_every_row_of_every_table_is_on_the_page_with_its_source():
    page = reference.tables_page()
    for name in reading.TABLES:
        for rows in reading.table(name)["data"].values():
            for row in rows:
                assert row["source"].replace("|", "\\|") in page


def test_the_page_says_how_many_rows_were_read_and_how_many_are_from_memory():
    tags = [
        row["tag"] for name in reading.TABLES for rows in reading.table(name)["data"].values() for row in rows
    ]
    head, _, *body = [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in reference.tables_page().partition("How many rows of each kind")[2].splitlines()
        if line.startswith("|")
    ][: len(reading.TABLES) + 3]
    assert body[-1][0] == "all"
    for tag in reading.Tag:
        (column,) = [number for number, cell in enumerate(head) if cell.endswith(f" {tag}")]
        assert int(body[-1][column]) == tags.count(tag)


def test_what_stands_in_somebodys_copy_is_not_called_read():
    for name in reading.TABLES:
        for rows in reading.table(name)["data"].values():
            for row in rows:
                copied = re.search(
                    r"as reproduced|reproduced whole|quoted (in|on)|as transcribed", row["source"]
                )
                if copied and row["source"].count(";") == 0:
                    assert row["tag"] != "read", row["source"]


def test_every_table_on_the_page_has_rows_as_wide_as_its_head():
    width = 0
    for line in reference.tables_page().splitlines():
        if not line.startswith("|"):
            width = 0
            continue
        cells = line.replace("\\|", "").count("|")
        width = width or cells
        assert cells == width, line
