"""Changes to a batch file keep what a person wrote beside them."""

from __future__ import annotations

import pytest

from longpoint.errors import FaultsError
from longpoint.web.batch_text import by_field, read, shown, value_of, with_entry, with_values, without_entry
from web.conftest import BATCH


def test_a_changed_size_leaves_comments_and_all_other_lines_as_they_were() -> None:
    changed = with_values(BATCH, {"work[1].width": "1.2 m", "work[1].height": "60 cm"})
    assert changed == BATCH.replace('width = "80 cm"', 'width = "1.2 m"')


def test_values_stand_as_a_person_would_write_them() -> None:
    assert value_of("1200") == 1200 and value_of("12,5") == 12.5 and value_of("47 1/4 in") == "47 1/4 in"
    assert value_of("2400; 3 m", "lengths") == [2400, "3 m"]
    assert value_of("2", "cross_rails") == 2 and value_of("40 cm,", "cross_rails") == ["40 cm"]
    assert shown([2400, {"length": "3 m", "price": 4.5}]) == "2400, 3 m @ 4.5"


def test_a_name_of_digits_stays_a_name() -> None:
    assert 'name = "17"' in with_values(BATCH, {"work[1].name": "17"})


def test_an_emptied_field_takes_its_key_away_and_an_absent_one_makes_none() -> None:
    assert "per_metre = 2.6" not in with_values(BATCH, {"yard[1].per_metre": " "})
    assert with_values(BATCH, {"work[1].notes": "", "paper": ""}) == BATCH


def test_a_work_comes_and_goes() -> None:
    more = with_entry(BATCH, "work", {"name": "Work 2", "width": "90 cm", "height": "60 cm"})
    assert [work.name for work in read(more).work] == ["Reeds", "Work 2"]
    assert [work.name for work in read(without_entry(more, "work", 1)).work] == ["Work 2"]


def test_what_is_wrong_is_told_by_its_field() -> None:
    with pytest.raises(FaultsError) as caught:
        read(with_values(BATCH, {"work[1].width": "80 bananas", "yard[2].depth": "-3"}))
    wrong = by_field(caught.value.faults)
    assert set(wrong) == {"work[1].width", "yard[2].depth"}


def test_a_field_of_a_work_that_is_gone_is_refused_not_written_elsewhere() -> None:
    with pytest.raises(FaultsError, match="not there any more"):
        with_values(BATCH, {"work[7].width": "1 m"})
