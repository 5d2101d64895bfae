"""The starter file states what the program would assume, so that taking its tables away changes nothing."""

from __future__ import annotations

import pytest

from longpoint.model.reading import parse_batch
from longpoint.model.starter import starter_text
from longpoint.works.ordinary import ordinary_roll, ordinary_screws, ordinary_timber, region_of


@pytest.mark.parametrize("inches", [False, True])
def test_its_yard_is_the_ordinary_shops_and_its_sheets_follow_the_unit(inches: bool) -> None:
    full = parse_batch(starter_text(inches=inches))
    short = parse_batch(starter_text(inches=inches, short=True))
    assert (full.paper, full.show, full.unit) == (short.paper, short.show, short.unit)
    assert full.paper == ("Letter" if inches else "A4")
    assert region_of(full) == region_of(short) == ("america" if inches else "europe")
    stated = [(t.name, t.timber, t.thickness, t.depth, t.serves, t.lengths) for t in full.yard]
    assumed = [(t.name, t.timber, t.thickness, t.depth, t.serves, t.lengths) for t in ordinary_timber(short)]
    assert stated == assumed
    (roll,) = full.roll
    assert (roll.width, round(roll.mass)) == (ordinary_roll(short).width, round(ordinary_roll(short).mass))
    assert full.screw == ()
    for screw in ordinary_screws(short):
        thick = f"No. {screw.gauge}:" if screw.gauge is not None else f"{float(screw.diameter or 0):g} mm:"
        assert f"#   {thick}" in starter_text(inches=inches)


def test_inches_are_american_sections_by_their_nominal_names() -> None:
    text = starter_text(inches=True)
    assert 'nominal = "1x2"' in text
    assert "3/4 x 1 1/2 in" in text
    batch = parse_batch(text)
    assert [timber.nominal for timber in batch.yard] == ["1x2", "1x3", "2x2"]
