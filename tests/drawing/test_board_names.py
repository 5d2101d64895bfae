"""Boards known by their number say it in the reader's language, and are understood in any."""

from __future__ import annotations

import pytest

from longpoint.drawing.views.boards import board_words, name_words, plain_name
from longpoint.drawing.words.voice import languages, voice_of


@pytest.mark.parametrize("language", languages())
def test_a_board_known_by_its_number_goes_there_and_back_in_every_language(language: str) -> None:
    said = name_words("3600 no. 2", voice_of(language))
    assert plain_name(said) == "3600 no. 2"


def test_a_german_sheet_says_nummer() -> None:
    say = voice_of("de")
    assert name_words("3600 no. 12", say) == "3600 Nr. 12"
    assert board_words("3600 no. 12", 3587.5, say).startswith("3600 Nr. 12, ")


@pytest.mark.parametrize("name", ["R2", "3600", "oak no. seven", "Nr. 5", "", "lime no. "])
def test_other_names_stay_as_they_are(name: str) -> None:
    assert name_words(name, voice_of("de")) == name
    assert plain_name(name) == name
