"""Sections called by nominal inches measure what PS 20 says, and a true 1 × 2 is asked about."""

from __future__ import annotations

from fractions import Fraction

import pytest

from longpoint.errors import FaultsError
from longpoint.model.nominal import nominal_in, sides_of
from longpoint.model.reading import parse_batch
from longpoint.works.stock import stock_cautions, stock_of

WORK = 'unit = "in"\n[[work]]\nname = "A"\nwidth = 24\nheight = 20\n'
YARD = '[[yard]]\nlengths = ["8 ft"]\n'


@pytest.mark.parametrize(
    ("nominal", "inches"),
    [  # PS 20 American Softwood Lumber Standard, dry, as printed in tables of lumber sizes
        ("1x2", ("0.75", "1.5")),
        ("1x3", ("0.75", "2.5")),
        ("1 x 4", ("0.75", "3.5")),
        ("2x2", ("1.5", "1.5")),
        ("2×4", ("1.5", "3.5")),
        ("1x6", ("0.75", "5.5")),
        ("1x8", ("0.75", "7.25")),
        ("2x6", ("1.5", "5.5")),
    ],
)
def test_a_nominal_name_stands_for_its_actual_size(nominal: str, inches: tuple[str, str]) -> None:
    found = nominal_in(nominal)
    assert found is not None
    assert sides_of(found) == tuple(Fraction(side) * Fraction(254, 10) for side in inches)


@pytest.mark.parametrize("name", ["21 x 44", "redwood", "5/4x2", "1x1.5", "11x2", "1x7", "0.75x1.5"])
def test_other_names_are_no_nominal_sizes(name: str) -> None:
    assert nominal_in(name) is None


@pytest.mark.parametrize(
    "said", ['name = "1x2"', 'name = "clear pine 1x2"', 'name = "strips"\nnominal = "1 x 2"']
)
def test_sides_are_read_from_the_name_and_the_plan_says_so(said: str) -> None:
    batch = parse_batch(WORK + YARD + said)
    (timber,) = batch.yard
    assert (timber.thickness, timber.depth) == (Fraction("19.05"), Fraction("38.1"))
    (caution,) = (one for one in stock_cautions(stock_of(batch), ()) if one.code == "nominal-read")
    assert "1x2 is 3/4 in × 1 1/2 in" in dict(caution.facts)["sizes"]


def test_a_name_stands_for_nothing_in_a_metric_file() -> None:
    with pytest.raises(FaultsError) as caught:
        parse_batch(WORK.replace('"in"', '"cm"') + YARD.replace("8 ft", "240 cm") + 'name = "1x2"')
    assert {fault.code for fault in caught.value.faults} == {"key-missing"}


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ('name = "1x2"\nthickness = 1\ndepth = 2', "nominal-or-true"),
        ('name = "1x2"\nthickness = 2\ndepth = 1', "nominal-or-true"),
        ('name = "s"\nnominal = "1x2"\nthickness = 1\ndepth = 2', "nominal-or-true"),
        ('name = "s"\nnominal = "1x2"\nthickness = "3/4"\ndepth = 3', "nominal-and-sides"),
        ('name = "s"\nnominal = "batten"\nthickness = "3/4"\ndepth = 3', "unknown-nominal-size"),
    ],
)
def test_what_may_be_meant_two_ways_is_asked(said: str, code: str) -> None:
    with pytest.raises(FaultsError) as caught:
        parse_batch(WORK + YARD + said)
    (fault,) = caught.value.faults
    assert fault.code == code
    assert "nominal" in fault.remedy or "1x2" in fault.remedy


@pytest.mark.parametrize(
    "said",
    [
        'name = "1x2"\nthickness = "3/4"\ndepth = "1 1/2"',
        'name = "1x2"\nnominal = "1x2"\nthickness = "1 1/2"\ndepth = "3/4"',
        'name = "rough strips"\nthickness = 1\ndepth = 2',
        'name = "1x2"\nthickness = "11/16"\ndepth = "1 7/16"',  # measured, a little under
    ],
)
def test_what_is_plain_is_not_asked(said: str) -> None:
    parse_batch(WORK + YARD + said)
