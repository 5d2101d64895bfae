"""Ways out of the studio: what is carried, what stops it, what would help, and what is said of it."""

from __future__ import annotations

from fractions import Fraction

from pytest import approx

from longpoint.drawing.words.own_words import caution_words
from longpoint.drawing.words.voice import voice_of
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch
from longpoint.works.brief import Brief, briefs_of
from longpoint.works.leaving import WayOut, early_cautions, leaving_cautions, ways_out

DOOR = '[[way.obstacle]]\nkind = "door"\nwidth = 800\nheight = 2000\n'


def batch_of(size: tuple[int, int], *, way: str = DOOR, inside: str = "", head: str = "") -> Batch:
    work = f'[[work]]\nname = "Reeds"\nwidth = {size[0]}\nheight = {size[1]}\n'
    return parse_batch(f'{head}{inside}{work}[[way]]\nname = "Out"\nwrap = 10\n{way}')


def out_of(batch: Batch, *, seam: int | None = None) -> WayOut:
    (found,) = ways_of(briefs_of(batch)[0], seam=seam)
    return found


def ways_of(brief: Brief, *, seam: int | None = None) -> tuple[WayOut, ...]:
    return ways_out(
        brief,
        depth=Fraction(44),
        thickness=Fraction(21),
        seam=None if seam is None else Fraction(seam),
    )


def test_what_is_carried_is_wrapped_and_has_its_hangers() -> None:
    box = out_of(batch_of((1000, 700))).box
    assert (box.width, box.height, box.depth) == (1020, 720, 44 + 5 + 20)


def test_a_work_in_halves_is_asked_about_as_its_larger_half() -> None:
    halves = batch_of((3000, 1200), inside="[inside]\nin_halves = true\n")
    assert out_of(halves).box.width == 1520
    assert out_of(halves, seam=1400).box.width == 1620
    assert out_of(halves).halves


def test_the_largest_face_passes_bare_and_one_more_millimetre_does_not() -> None:
    found = out_of(batch_of((2400, 2600)))
    assert found.stop == 0
    assert found.largest is not None
    width, height = found.largest
    assert height / width == approx(2600 / 2400, abs=1e-3)
    assert out_of(batch_of((int(width), int(height)))).passes
    # leaning, its shorter side up: 69 mm thick, so some 2154 mm less two thirds of that
    assert width + 20 == approx(2108, abs=1.5)


def test_what_would_help_is_found_by_asking_again() -> None:
    assert out_of(batch_of((2400, 2600))).helps == ("halves", "rolled")
    assert out_of(batch_of((2400, 2130), way=DOOR + "leaf = 120\n")).helps == ("leaf", "halves", "rolled")
    lift = '[[way.obstacle]]\nkind = "lift"\nwidth = 1000\nheight = 2000\ndepth = 1200\n'
    assert out_of(batch_of((4000, 4200), way=lift)).helps == ()


def test_a_work_that_gets_out_another_way_is_not_said_to_stay() -> None:
    other = '[[way]]\nname = "Yard"\n[[way.obstacle]]\nkind = "door"\nwidth = 2500\nheight = 3000\n'
    batch = batch_of((2400, 2600), way=DOOR + other)
    ways = ways_of(briefs_of(batch)[0])
    assert [way.passes for way in ways] == [False, True]
    assert leaving_cautions(batch.way, ways) == ()
    assert len(leaving_cautions(batch.way, ways[:1])) == 1


def test_a_way_is_asked_of_the_works_that_it_names() -> None:
    batch = parse_batch(
        '[[work]]\nname = "Reeds"\nwidth = 1000\nheight = 700\n[[work]]\nname = "Marsh"\nwidth = 3000\nheight = 2900\n'
        '[[way]]\nname = "Out"\nworks = ["Reeds"]\n' + DOOR
    )
    assert [len(ways_of(brief)) for brief in briefs_of(batch)] == [1, 0]
    assert early_cautions(batch) == ()


def test_what_stays_is_said_before_anything_is_designed_in_both_languages() -> None:
    for language, words in (
        ("en", "Reeds: Does not get past door (Out): both sides of its face are "),
        ("de", "Reeds: Geht nicht durch Tür (Out): beide Seiten der Fläche sind dort um "),
    ):
        batch = batch_of((2400, 2600), head=f'language = "{language}"\nas_stated = true\n')
        (caution,) = early_cautions(batch)
        said = caution_words(caution, voice_of(language, batch.style))
        assert said.startswith(words)
        assert "in_halves = true" in said
