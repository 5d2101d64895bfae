"""The table that opens the reasons: likely and at worst, yes or no, for every limit of every work."""

from __future__ import annotations

import pytest

from longpoint.drawing.paper.pages import Table
from longpoint.drawing.sheets.limits_page import limits_page
from longpoint.drawing.words.voice import voice_of
from longpoint.strength.verdicts.verdict import Verdict

SAY = voice_of("en")


def _verdict(
    key: str, value: float, low: float, high: float, limit: float | None, sense: str = "at most"
) -> Verdict:
    return Verdict(
        key=key, value=value, unit="mm", low=low, high=high, limit=limit, sense=sense, source="x", tag="estimate",
        judge="design",
    )  # fmt: skip


def test_likely_and_worst_stand_beside_each_other_with_the_answer() -> None:
    kept = (_verdict("hollow", 0.5, 0.2, 0.9, 2.0), _verdict("corner-lift", 9.0, 9.0, 9.0, None))
    missed = (_verdict("hollow", 3.4, 2.0, 8.0, 2.0),)
    page = limits_page([("A", "Reeds", kept), ("B", "Weir", missed), ("C", "Twin", kept)], say=SAY)
    (table,) = (block for block in page.blocks if isinstance(block, Table))
    assert [column.title for column in table.columns][2::2] == [
        "A, C",
        "B",
    ]  # works that are alike share a column
    (row,) = table.rows  # what nobody judges is left out
    assert row[1:] == ("at\u00a0most\u00a02.0\u00a0mm", "0.5 / 0.9\u00a0mm", "yes", "3.4 / 8.0\u00a0mm", "no")


@pytest.mark.parametrize("language", ["en", "de"])
def test_nothing_computed_is_said(language: str) -> None:
    page = limits_page([], say=voice_of(language))
    assert len(page.blocks) == 1
