"""Screws on sheets: a size is never read in another unit than it is said in."""

from __future__ import annotations

import pytest

from longpoint.drawing.words.own_words import screw_size
from longpoint.drawing.words.voice import voice_of
from longpoint.units import LengthStyle


@pytest.mark.parametrize(("unit", "said"), [("mm", "4 × 50"), ("cm", "4 × 50 mm")])
def test_a_screw_in_millimetres_says_so_on_a_sheet_of_centimetres(unit: str, said: str) -> None:
    assert screw_size("screw 4 × 50 mm", voice_of(lengths=LengthStyle(unit))) == said
