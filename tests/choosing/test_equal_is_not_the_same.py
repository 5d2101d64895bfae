"""What is stated and what is left to its default are equal values and are planned differently: no answer is shared."""

from __future__ import annotations

from longpoint.choosing.candidates import wider_candidates_of
from longpoint.choosing.chooser import ComputedChooser
from longpoint.model.reading import parse_batch
from longpoint.works.brief import briefs_of
from longpoint.works.remembered import remembered

OPEN = """
[[work]]
name = "Reeds"
width = 1300
height = 900
"""
STATED = OPEN + "[work.inside]\ncrossing = 'butt'\n"
"""The default, said."""


def crossings(text: str) -> set[bool]:
    batch = parse_batch(text)
    found = wider_candidates_of(briefs_of(batch)[0], wanted=lambda _option: True)
    return {one.design.design.halved for one in found}


def test_a_stated_crossing_is_kept_after_an_open_one_was_asked_for() -> None:
    assert crossings(OPEN) == {False, True}
    assert crossings(STATED) == {False}
    assert crossings(OPEN) == {False, True}


def test_answers_are_kept_for_the_very_value() -> None:
    asked = []

    @remembered(2)
    def width(batch: object, which: str) -> int:
        asked.append((batch, which))
        return len(asked)

    one, equal = parse_batch(OPEN), parse_batch(OPEN)
    assert one == equal
    assert width(one, "a") == width(one, "a") == 1
    assert width(equal, "a") == 2
    assert width(one, which="a") == 3  # pushes the first out
    assert width(one, "a") == 4


def test_works_of_one_batch_that_differ_in_what_is_stated_are_chosen_apart(monkeypatch) -> None:
    briefs = briefs_of(parse_batch(OPEN + STATED.replace("Reeds", "Weir")))
    chosen: list[int] = []
    monkeypatch.setattr(
        "longpoint.choosing.chooser._chosen", lambda brief, _say: chosen.append(brief.index) or ()
    )
    choose = ComputedChooser()
    for brief in (*briefs, *briefs):
        choose(brief)
    assert chosen == [0, 1]
    choose(briefs_of(parse_batch(OPEN))[0])
    assert chosen == [0, 1, 0]
