"""Figures on sheets: no size is read in another unit than it is said in, and no figure is told from itself."""

from __future__ import annotations

import pytest

from longpoint.drawing.words.own_words import screw_size
from longpoint.drawing.words.strength import doubts_of
from longpoint.drawing.words.voice import voice_of
from longpoint.strength.verdicts.verdict import Bound, judged
from longpoint.units import LengthStyle


@pytest.mark.parametrize(("unit", "said"), [("mm", "4 × 50"), ("cm", "4 × 50 mm")])
def test_a_screw_in_millimetres_says_so_on_a_sheet_of_centimetres(unit: str, said: str) -> None:
    assert screw_size("screw 4 × 50 mm", voice_of(lengths=LengthStyle(unit))) == said


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("texts", ["answer", "answer-short"])
@pytest.mark.parametrize("watered", [0.0, 1.0])
def test_two_tensions_that_round_to_one_figure_are_not_said_as_two(
    language: str, texts: str, watered: float
) -> None:
    def said(most: float) -> str:
        bears = judged(
            "bears", 0.2, "N/mm", Bound(0.523, "at most", "", "computed"), low=0.1, high=most / 1000, judge="bench",
            numbers=(("bears", 523.0), ("most", most), ("water", watered)),
        )  # fmt: skip
        return doubts_of([bears], voice_of(language), texts=texts)

    assert "520" in said(524.0)
    assert "{" not in said(524.0)
    assert said(524.0) != said(600.0).replace("600", "520")
    assert "600" in said(600.0)
