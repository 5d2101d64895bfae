"""Readers of inches get pounds behind newtons and kilograms, and no millimetres; all others nothing new."""

from __future__ import annotations

import pytest

from longpoint.drawing.paper.pages import Bullets, Column, Pack, Page, Table
from longpoint.drawing.words.pounds import pack_with_pounds, with_pounds
from longpoint.drawing.words.voice import voice_of
from longpoint.units import LengthStyle

INCHES = voice_of("en", LengthStyle("in", 16))
ZOLL = voice_of("de", LengthStyle("in", 16))


@pytest.mark.parametrize(
    ("said", "read"),
    [
        ("pull 240 N/m here", "pull 240 N/m (1.4 lb/in) here"),  # 240 * 0.0254 / 4.4482 = 1.370
        ("240 / 890 N/m", "240 / 890 N/m (1.4 / 5.1 lb/in)"),
        ("3\u202f680 N/m", "3\u202f680 N/m (21 lb/in)"),
        ("6.8 kg (5.6 kg to 7.9 kg)", "6.8 kg (15 lb) (5.6 kg (12 lb) to 7.9 kg (17 lb))"),
        ("a push of 10 N", "a push of 10 N (2.2 lb)"),
        ("4.6 N·m", "4.6 N·m (3.4 lb·ft)"),
        ("need 75.60 g, 2.17 l", "need 75.60 g (2.7 oz), 2.17 l (2.3 qt)"),
        ("no shorter than 300 mm, within 10 mm", "no shorter than 12 in, within 3/8 in"),
        ("150 mm (6 in) from the blade", "150 mm (6 in) from the blade"),
        ("it dips 5.1 mm here", "it dips 0.20 in here"),
        ("380 g/m², 10 N/mm², 420 kg/m³, N. 3", "380 g/m², 10 N/mm², 420 kg/m³, N. 3"),
    ],
)
def test_figures_get_their_pounds(said: str, read: str) -> None:
    assert with_pounds(said, INCHES) == read
    assert with_pounds(said, voice_of("en")) == said


def test_a_language_keeps_its_decimal_sign() -> None:
    assert with_pounds("80 N/m, 0,5 kg", ZOLL) == "80 N/m (0,46 lb/in), 0,5 kg (1,1 lb)"


def test_a_page_with_a_table_in_newtons_says_once_what_they_are() -> None:
    table = Table((Column("Tension [N/m]", "end"),), (("240",), ("250",)))
    pack = Pack("t", "r", (Page("p", "s", "t", (table, Bullets(("at 80 N/m",)))), Page("q", "s", "t", ())))
    read = pack_with_pounds(pack, INCHES)
    assert repr(read).count("0.57 lb") == 1
    assert read.pages[0].blocks[1] == Bullets(("at 80 N/m (0.46 lb/in)",))
    assert read.pages[1] == pack.pages[1]
    assert pack_with_pounds(pack, voice_of("en")) is pack
