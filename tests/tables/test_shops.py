"""What ordinary shops have lies within the published sizes and lengths."""

from __future__ import annotations

import itertools
from fractions import Fraction

import pytest

from longpoint.joinery.screws.on_sale import gauge_diameter
from longpoint.model.reading import parse_batch
from longpoint.tables.shops import shop_cloths, shop_lengths, shop_screws, shop_sections
from longpoint.works.ordinary import ordinary_roll, ordinary_screws, ordinary_timber, region_of

WORK = '[[work]]\nname = "A"\nwidth = 24\nheight = 20\n'


def test_american_sections_are_dressed_sizes_of_ps_20() -> None:
    inches = {
        row.name: (float(row.thin / Fraction("25.4")), float(row.wide / Fraction("25.4")))
        for row in shop_sections("america")
    }
    assert inches == {"1x2": (0.75, 1.5), "1x3": (0.75, 2.5), "2x2": (1.5, 1.5)}


def test_european_sections_are_what_planing_leaves_of_sawn_sizes() -> None:
    from longpoint.tables.reading import table

    for row in table("shops")["data"]["european_sections"]:
        for sawn, planed in ((row["sawn_thin"], row["thin"]), (row["sawn_wide"], row["wide"])):
            assert 3 <= sawn - planed <= 5, row  # EN 336 and EN 1313-1: planing takes 3 to 5 mm
        assert row["sawn_thin"] in (
            16,
            19,
            22,
            25,
            32,
            38,
            47,
            50,
            63,
            75,
        )  # EN 1313-1, with its national sizes


def test_lengths_are_steps_of_the_lengths_sold() -> None:
    assert [float(length / Fraction("304.8")) for length in shop_lengths("america")] == [6, 8, 10, 12]
    metres = [float(length / 1000) for length in shop_lengths("europe")]
    assert (min(metres), max(metres)) == (1.8, 5.4)
    assert all((length - 1800) % 300 == 0 for length in shop_lengths("europe"))


def test_screws_that_cite_a_standard_lie_within_its_least_and_greatest_lengths() -> None:
    # ANSI/ASME B18.6.1 [in] and DIN 96 and DIN 7996 [mm], as the FreeCAD fasteners workbench transcribes them
    inches = {4: (0.375, 1.5), 6: (0.375, 2), 8: (0.5, 3), 10: (0.625, 3.5), 12: (0.75, 3.5)}
    din_96 = {3.0: (10, 40), 3.5: (10, 60), 4.0: (12, 60), 4.5: (16, 60), 5.0: (16, 70), 6.0: (20, 80)}
    din_7996 = {3.0: (10, 40), 3.5: (10, 45), 4.0: (12, 50), 4.5: (16, 60), 5.0: (16, 80), 6.0: (40, 80)}
    for screw in shop_screws("america"):
        assert screw.gauge is not None
        least, most = inches[screw.gauge]
        within = least <= float(screw.length / Fraction("25.4")) <= most
        assert within == screw.source.is_cited, screw
    for screw in shop_screws("europe"):
        assert screw.diameter is not None
        told = [
            low <= screw.length <= high
            for name, (low, high) in (
                ("DIN 96", din_96[float(screw.diameter)]),
                ("DIN 7996", din_7996[float(screw.diameter)]),
            )
            if name in screw.source.text
        ]
        assert told
        assert all(told) == screw.source.is_cited, screw


@pytest.mark.parametrize("region", ["america", "europe"])
def test_screws_come_in_every_usual_length_from_16_mm_on(region: str) -> None:
    screws = shop_screws(region)  # type: ignore[arg-type]
    lengths = sorted({float(screw.length) for screw in screws})
    assert lengths[0] <= 16
    assert lengths[-1] >= 100
    assert all(b - a <= 13 for a, b in itertools.pairwise(lengths) if b <= 80)
    for screw in screws:
        diameter = screw.diameter if screw.gauge is None else gauge_diameter(screw.gauge)
        assert diameter is not None
        # No table lists wood screws stouter than 1 : 4 or slenderer than 1 : 22 (DIN 97, ANSI/ASME B18.6.1).
        assert 4 <= screw.length / diameter <= 22
    # a 30 mm screw of 3.5 mm, and a 1 1/4 in No. 6, are in every shop
    wanted = (None, Fraction("3.5"), Fraction(30)) if region == "europe" else (6, None, Fraction("31.75"))
    assert wanted in [(screw.gauge, screw.diameter, screw.length) for screw in screws]


def test_cloth_by_the_yard_weighs_what_ounces_say() -> None:
    batch = parse_batch('unit = "in"\n' + WORK)
    roll = ordinary_roll(region_of(batch))
    assert float(roll.width / Fraction("25.4")) == 84
    assert roll.mass == pytest.approx(339.06, abs=0.01)  # 10 oz/yd² × 33.906 g/m²
    assert "yard" in roll.name
    wide = ordinary_roll(region_of(batch), across=Fraction(2500))
    assert float(wide.width / Fraction("25.4")) == 120
    assert ordinary_roll(region_of(batch), across=Fraction(9000)).width == max(
        row.width for row in shop_cloths("america")
    )


@pytest.mark.parametrize(
    ("head", "region", "paper", "show"),
    [
        ("", "europe", "A4", "mm"),
        ('unit = "cm"\n', "europe", "A4", "cm"),
        ('unit = "m"\n', "europe", "A4", "mm"),
        ('unit = "in"\n', "america", "Letter", "in"),
        ('unit = "ft"\n', "america", "Letter", "in"),
        ('unit = "in"\npaper = "A4"\nshow = "mm"\n', "america", "A4", "mm"),
        ('unit = "in"\n[shop]\nregion = "europe"\n', "europe", "Letter", "in"),
        ('[shop]\nregion = "america"\n', "america", "A4", "mm"),
    ],
)
def test_region_paper_and_sheets_follow_the_unit_unless_stated(
    head: str, region: str, paper: str, show: str
) -> None:
    metric = "in" not in head and "ft" not in head
    sides = WORK if not metric else WORK.replace("24", '"24 in"').replace("20", '"20 in"')
    sides = sides if "ft" not in head else sides.replace("24", "2").replace("20", "1.5")
    batch = parse_batch(head + sides)
    assert (region_of(batch), batch.paper, batch.show) == (region, paper, show)
    assert all((screw.gauge is None) == (region == "europe") for screw in ordinary_screws(region_of(batch)))
    assert ("1x2" in ordinary_timber(region_of(batch))[0].name) == (region == "america")
