"""Batch files: places of keys, overriding, and the written reference."""

from __future__ import annotations

import os
from fractions import Fraction
from pathlib import Path

import pytest

from longpoint.errors import FaultsError
from longpoint.model.batch import Batch
from longpoint.model.places import key_lines, line_of, path_of, written
from longpoint.model.reading import parse_batch
from longpoint.model.reference import batch_reference

TEXT = """title = "x"   # [not a table]
[bars]
depth = 44
[[work]]
name = "a"
notes = \"\"\"
[[work]]
width = 3
\"\"\"
width = 1
height = 1
bars.bevel = 3
[[work]]
name = "b"
width = 1
height = 1
[work.inside]
drop = 9
lists = [
  1,
  2,
]
depth = 20
"""


def test_every_key_is_found_on_its_line() -> None:
    lines = key_lines(TEXT)
    assert lines["title",] == 1
    assert lines["bars", "depth"] == 3
    assert lines["work", 0, "width"] == 10
    assert lines["work", 0, "bars", "bevel"] == 12
    assert lines["work", 1, "name"] == 14
    assert lines["work", 1, "inside", "drop"] == 18
    assert lines["work", 1, "inside", "depth"] == 23


def test_a_key_that_is_not_there_is_placed_at_what_is_around_it() -> None:
    assert line_of(("work", 1, "bars", "depth"), key_lines(TEXT)) == 13
    assert line_of(("roll",), key_lines(TEXT)) is None


def test_a_path_is_written_as_people_count() -> None:
    path = ("work", 1, "inside", "drop")
    assert written(path) == "work[2].inside.drop"
    assert path_of(written(path)) == path


def test_a_work_says_otherwise_only_what_it_says() -> None:
    batch = parse_batch(
        "[bars]\ndepth = 60\nbevel = 7\n"
        '[[work]]\nname = "a"\nwidth = 900\nheight = 600\nbars = { bevel = 4 }\n'
        '[[work]]\nname = "b"\nwidth = 900\nheight = 600\n'
    )
    first, second = (batch.bars_of(work) for work in batch.work)
    assert (first.depth, first.bevel) == (60, 4)
    assert (second.depth, second.bevel) == (60, 7)


def test_defaults_do_not_change_with_the_unit_of_the_file() -> None:
    batch = parse_batch('unit = "in"\n[[work]]\nname = "a"\nwidth = 30\nheight = 20\n')
    assert batch.bars.lip_radius == 2
    assert batch.work[0].width == 762
    assert batch.shop.saw.kerf == 3


def test_a_bevel_is_a_fall_or_an_angle() -> None:
    text = '[bars]\nbevel = {}\n[[work]]\nname = "a"\nwidth = 900\nheight = 600\n'
    assert parse_batch(text.format('"3/16 in"')).bars.bevel == Fraction(3, 16) * Fraction(254, 10)
    assert parse_batch(text.format('"45°"')).bars.bevel == pytest.approx(0.7853981633974483)


def test_a_mark_at_the_head_of_the_file_does_no_harm() -> None:
    assert parse_batch(b'\xef\xbb\xbf[[work]]\nname = "a"\nwidth = 900\nheight = 600\n').work[0].name == "a"


def test_names_in_any_script_are_kept() -> None:
    assert parse_batch('[[work]]\nname = "Море 海"\nwidth = 900\nheight = 600\n').work[0].name == "Море 海"


def test_price_per_foot_and_per_yard_are_read() -> None:
    batch = parse_batch(
        '[[work]]\nname = "a"\nwidth = 900\nheight = 600\n'
        '[[yard]]\nname = "t"\nthickness = 21\ndepth = 44\nlengths = ["8 ft"]\nper_foot = 0.9144\n'
        '[[roll]]\nname = "r"\nwidth = 2100\nper_yard = 9.144\n'
    )
    assert float(batch.yard[0].rate or 0) == pytest.approx(3.0)
    assert float(batch.roll[0].rate or 0) == pytest.approx(10.0)
    with pytest.raises(FaultsError, match="per metre and per yard"):
        parse_batch(
            '[[work]]\nname = "a"\nwidth = 900\nheight = 600\n'
            '[[roll]]\nname = "r"\nwidth = 2100\nper_yard = 9\nper_metre = 9\n'
        )


def test_a_batch_written_out_and_read_again_is_the_same() -> None:
    batch = parse_batch(
        'unit = "in"\n[bars]\nbevel = "5/64"\ndepth = "1 47/64"\n'
        '[[work]]\nname = "a"\nwidth = "30 1/64"\nheight = 20\nbars = { bevel = 6 }\n'
        '[[work]]\nname = "b"\nwidth = 30\nheight = 20\n'
        '[[rack]]\nname = "R"\nthickness = 1\ndepth = 2\nlength = "9 ft"\nworth = 2.5\n'
    )
    again = Batch.model_validate(batch.model_dump(mode="json"), context={"unit": "mm"})
    assert again == batch
    assert again.bars_of(again.work[0]).bevel == Fraction(6 * 254, 10)
    assert again.bars_of(again.work[1]).bevel == Fraction(5, 64) * Fraction(254, 10)


def test_what_has_no_name_is_numbered_among_its_kind() -> None:
    works = (
        "[[work]]\nwidth = 900\nheight = 700\n" * 2 + '[[work]]\nname = "Work 1"\nwidth = 900\nheight = 700\n'
    )
    batch = parse_batch(works + "[[roll]]\nwidth = 1600\n")
    assert [work.name for work in batch.work] == ["Work 1*", "Work 2", "Work 1"]
    assert [roll.name for roll in batch.roll] == ["Roll"]
    assert parse_batch('language = "de"\n' + works).work[1].name == "Werk 2"


def test_a_key_of_another_table_is_told_where_it_belongs() -> None:
    text = '[[work]]\nname = "a"\nwidth = 900\nheight = 700\n[cloth]\nstate = "raw"\ntension_lft = 200\n'
    with pytest.raises(FaultsError) as caught:
        parse_batch(text)
    remedies = [fault.remedy for fault in caught.value.faults]
    assert remedies == ["It belongs under [[roll]].", "Did you mean 'tension_left'?"]


def test_what_belongs_to_a_board_and_stands_at_its_timber_is_told_where_it_belongs() -> None:
    text = "[[work]]\nwidth = 900\nheight = 700\n[[yard]]\nthickness = 24\ndepth = 58\nlengths = [2400]\n"
    with pytest.raises(FaultsError) as caught:
        parse_batch(text + "price = 5\nhow_many = 3\n")
    one, other = caught.value.faults
    assert "lengths = [{ length = …, price = … }]" in one.remedy
    assert "lengths = [{ length = …, how_many = … }]" in other.remedy


def test_the_written_docs_reference_says_what_the_models_say() -> None:
    path = Path(__file__).parents[2] / "docs" / "reference" / "batch-file.md"
    if os.environ.get("LONGPOINT_WRITE_DOCS"):
        path.write_text(batch_reference(), encoding="utf-8")
    assert path.read_text(encoding="utf-8") == batch_reference(), "run make golden and read the difference"
