"""Ours beside theirs, within each tolerance; and the table in the docs says so.

``LONGPOINT_WRITE_DOCS=1`` writes docs/theory/validation-strength.md anew; otherwise its numbers are compared.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from pytest import approx

from strength.validation import Row, calculix_rows, closed_form_rows

DOCS = Path(__file__).parents[2] / "docs" / "theory" / "validation-strength.md"
HEAD = """# The strength engine beside closed forms and an independent program

Made by the tests (`tests/strength`); do not edit. Closed forms know no shear, so ours is computed without it; the
last column is ours once shear counts (timber with E/G = 16, and bars 20 mm deep where the frame's formulas take
bars that do not shorten). CalculiX computed bars and rails as solids with mitred corners, the canvas as membranes;
see the head of `tests/strength/test_calculix.py` for every difference above 1 %. CalculiX 2.20 (Debian); its
frames are 1900 × 1300 mm, bars 21 × 44, E 8000, G 500 MPa, bevel 5 where there is one, rails 21 × 30 at thirds, 2 mm
from the back; canvas 60 and 80 N/mm, ν 0.15, shear 15 N/mm; 200 N/m; 640 to 832 elements C3D20R and 384 M3D8. Sizes,
sections, rails, joints and cloths over the whole range, and why so much is allowed, stand on
[the next page](validation-range.md).

| what | unit | theirs | ours | apart | allowed | source | ours with shear |
|---|---|---|---|---|---|---|---|
"""


@pytest.fixture(scope="module")
def rows() -> list[Row]:
    return [*closed_form_rows(), *calculix_rows()]


def _line(row: Row) -> str:
    apart = 100 * (row.ours / row.theirs - 1)
    least = f" or {row.least:g} {row.unit}" if row.least else ""
    shear = "" if row.with_shear is None else f"{row.with_shear:.4g}"
    return (
        f"| {row.what} | {row.unit} | {row.theirs:.5g} | {row.ours:.4g} | {apart:+.2f} % | "
        f"{100 * row.tolerance:.3g} %{least} | {row.source} | {shear} |"
    )


@pytest.mark.slow
def test_every_number_lies_within_its_tolerance(rows: list[Row]) -> None:
    wrong = [row.what for row in rows if row.ours != approx(row.theirs, rel=row.tolerance, abs=row.least)]
    assert wrong == []
    assert len(rows) > 70


@pytest.mark.slow
def test_shear_only_ever_adds_movement(rows: list[Row]) -> None:
    for row in rows:
        if row.with_shear is not None and row.what.endswith(": bow") and row.ours > 0:
            assert row.with_shear > row.ours * 0.999, row.what


@pytest.mark.slow
def test_docs_table_is_the_one_computed(rows: list[Row]) -> None:
    text = HEAD + "\n".join(_line(row) for row in rows) + "\n"
    if os.environ.get("LONGPOINT_WRITE_DOCS") == "1":
        DOCS.parent.mkdir(parents=True, exist_ok=True)
        DOCS.write_text(text, encoding="utf-8")
    written = DOCS.read_text(encoding="utf-8")

    def parts(table: str) -> tuple[list[str], list[float]]:
        numbers = [float(n) for n in re.findall(r"(?<![\w.])[-+]?\d+\.?\d*(?:e[-+]?\d+)?", table)]
        return re.sub(r"[-+]?\d+\.?\d*(?:e[-+]?\d+)?", "#", table).split("\n"), numbers

    shape, values = parts(text)
    old_shape, old_values = parts(written)
    assert shape == old_shape
    assert values == approx(old_values, rel=2e-3, abs=0.02)
