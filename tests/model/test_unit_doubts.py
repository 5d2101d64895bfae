"""Measures that look as if they were meant in another unit are asked about, ordinary ones never."""

from __future__ import annotations

import pytest

from longpoint.errors import FaultsError
from longpoint.model.reading import read_batch_text


def work(width: object, height: object, name: str = "A") -> str:
    return f'[[work]]\nname = "{name}"\nwidth = {width}\nheight = {height}\n'


def yard(thickness: object, depth: object, lengths: object) -> str:
    return f'[[yard]]\nname = "y"\nthickness = {thickness}\ndepth = {depth}\nlengths = {lengths}\n'


ASKED = [
    ("a face of 17 m", 'unit = "m"\n' + work(17, 12), "work[1].width", "metres, centimetres"),
    (
        "millimetres in a file in cm",
        'unit = "cm"\n' + work(1700, 1200),
        "work[1].width",
        "centimetres or millimetres?",
    ),
    ("a digit too many", work(17000, 12000), "work[1].width", "a digit too many?"),
    ("the taller side", work(9000, 17000), "work[1].height", "a digit too many?"),
    (
        "170 mm among works of 1.7 m",
        work(1700, 1200) + work(170, 120, "B"),
        "work[2].width",
        "170 mm among works of 1700 mm: millimetres or centimetres?",
    ),
    (
        "one that is much smaller than all the others",
        work(1700, 1200) + work(1600, 1500, "B") + work(1800, 900, "C") + work(180, 110, "D"),
        "work[4].width",
        "millimetres or centimetres?",
    ),
    (
        "metres of boards in a file in mm",
        work(900, 700) + yard(18, 44, "[2.4, 3.6]"),
        "yard[1].lengths[2]",
        "or metres?",
    ),
    (
        "priced boards in cm",
        work(900, 700) + yard(18, 44, "[{ length = 360 }]"),
        "yard[1].lengths[1].length",
        "centimetres",
    ),
    (
        "feet of boards in a file in inches",
        'unit = "in"\n' + work(20, 16) + yard("0.75", "1.5", "[8]"),
        "yard[1].lengths[1]",
        "inches or feet?",
    ),
    (
        "boards of 24 m",
        'unit = "cm"\n' + work(90, 70) + yard("1.8", "4.4", "[2400]"),
        "yard[1].lengths[1]",
        "millimetres?",
    ),
    (
        "sections in mm in a file in cm",
        'unit = "cm"\n' + work(90, 70) + yard(18, 44, "[240]"),
        "yard[1].depth",
        "millimetres?",
    ),
    (
        "screws in mm in a file in inches",
        'unit = "in"\n' + work(20, 16) + "[[screw]]\ngauge = 8\nlength = 40\n",
        "screw[1].length",
        "millimetres?",
    ),
]


@pytest.mark.parametrize(("kind", "text", "key", "asked"), ASKED, ids=[kind for kind, *_ in ASKED])
def test_it_is_asked_before_anything_else_is_said(kind: str, text: str, key: str, asked: str) -> None:
    unknown = (
        text + '[[set]]\nname = "s"\nmembers = ["A", "nobody"]\n'
    )  # stands against itself, but is not said yet
    with pytest.raises(FaultsError) as caught:
        read_batch_text(unknown)
    (fault,) = caught.value.faults
    assert fault.code == "which-unit"
    assert fault.where.key == key
    assert asked in fault.what
    assert "with its unit" in fault.remedy


@pytest.mark.parametrize(
    "text",
    [
        work('"12 m"', 2000),  # a mural, said with its unit
        work('"17 m"', '"12 m"') + work(1700, 1200, "B"),
        work(200, 150) + work(2400, 1800, "B"),
        work(200, 150) + work(3000, 3000, "B") + work(2600, 2900, "C"),
        work(100, 100),
        work(3000, 3000) + yard(18, 44, "[2400]"),  # bars longer than every board: no question of units
        'unit = "in"\n'
        + work(48, 36)
        + yard('"3/4"', '"1 1/2"', '["8 ft"]')
        + "[[screw]]\ngauge = 8\nlength = 2\n",
        'unit = "m"\n' + work(1.7, 1.2) + yard(0.018, 0.044, "[2.4, 4.8]"),
        work(900, 700) + "[[screw]]\ndiameter = 3\nlength = 16\n",
    ],
)
def test_what_may_well_be_meant_is_not_asked_about(text: str) -> None:
    assert read_batch_text(text).faults == ()
