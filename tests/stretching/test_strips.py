"""Two strips: by hand what they say, and what a batch makes of it."""

from __future__ import annotations

import pytest

from longpoint.errors import FaultsError
from longpoint.model.batch import Batch
from longpoint.stretching.strips import read_strips
from longpoint.works.brief import briefs_of
from longpoint.works.tension import tensions_of


def test_a_strip_that_its_load_just_keeps_from_shrinking_tells_the_tension_itself() -> None:
    found = read_strips(marks=500, loose=475, hung=500, mass=1.0, width=50)
    assert found.load == pytest.approx(9.81 / 50)
    assert found.tension.middle == pytest.approx(found.load)


def test_the_line_through_both_strips_is_followed_to_where_nothing_shrinks() -> None:
    # 5 % loose, 2.5 % under the load: at twice the load it would keep its length
    found = read_strips(marks=500, loose=475, hung=487.5, mass=1.0, width=50)
    assert found.tension.middle == pytest.approx(2 * found.load)
    assert found.tension.low < found.tension.middle < found.tension.high
    assert not found.far


def test_a_loaded_strip_that_stretched_means_less_than_its_load() -> None:
    found = read_strips(marks=500, loose=490, hung=510, mass=1.0, width=50)
    assert found.tension.middle == pytest.approx(0.5 * found.load)


@pytest.mark.parametrize(("loose", "hung"), [(480, 480.5), (480, 470), (0, 490), (560, 600), (200, 500)])
def test_what_cannot_be_is_refused(loose: float, hung: float) -> None:
    with pytest.raises(FaultsError):
        read_strips(marks=500, loose=loose, hung=hung, mass=1.0, width=50)


def test_a_batch_takes_what_was_measured_and_its_range_is_narrow() -> None:
    work = {"name": "Study", "width": 900, "height": 700}
    roll = {"name": "duck", "width": 2100}
    wide, narrow = (
        tensions_of(briefs_of(batch)[0], share=1.0)
        for batch in (
            Batch.model_validate({"work": [work], "roll": [stated]})
            for stated in (roll, {**roll, "water_tension": 260})
        )
    )
    assert narrow.left.middle == pytest.approx(0.26)
    assert wide.left.high / wide.left.low > 4 > 2 > narrow.left.high / narrow.left.low
