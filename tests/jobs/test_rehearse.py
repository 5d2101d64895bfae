"""A small work rehearsed from its batch: frame, cloth, hand, table, maps, files."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.views.rehearsal import TONES, field_view, tone, top_of
from longpoint.drawing.words.voice import voice_of
from longpoint.errors import FaultsError
from longpoint.export.rehearsal_files import rehearsal_document, rehearsal_files
from longpoint.frame.members import derive_frame
from longpoint.jobs.rehearse import RehearsedWork, rehearse_work
from longpoint.model.batch import Batch
from longpoint.model.order import OrderWish
from longpoint.model.reading import parse_batch, parse_stated
from longpoint.strength.membrane.grid import rectangle_grid
from longpoint.stretching.rehearsal.edge import rows_of
from longpoint.units import LengthStyle
from longpoint.works.brief import briefs_of
from longpoint.works.designed import Designed
from longpoint.works.draft import canvas_work
from longpoint.works.rehearse_bench import coarse_of, frame_give, rehearsal_bench
from longpoint.works.strength import makes_of

SMALL = """
[bars]
depth = 40
thickness = 19
[[work]]
name = "Small one"
width = 317
height = 243
[[work]]
name = "Long one"
width = 1310
height = 470
[inside]
cross_rails = 0
end_rails = "none"
middle_pieces = false
[[roll]]
name = "duck"
width = 2100
mass = 340
state = "primed"
[primer]
coats = 0
"""

OWN = """
name = "two by two"
[[run]]
side = "bottom"
staples = [3, 4]
pull = 0
[[run]]
side = "top"
staples = [4, 3]
[[run]]
side = "left"
staples = [2]
[[run]]
side = "right"
staples = [2, 3]
pull = 0.5
"""


@cache
def batch() -> Batch:
    return parse_batch(SMALL)


@cache
def rehearsed() -> RehearsedWork:
    wish = parse_stated(OrderWish, OWN)
    return rehearse_work(batch(), "Small one", choose=design_of, written=wish, improving=False)


def give_of(text: str, *, columns: int = 26, rows: int = 9) -> tuple[np.ndarray, float]:
    """Give of the lips of the long work, and of the middle of its bottom bar against its top bar. [mm/N]"""
    stated = parse_batch(text)
    designed = design_of(briefs_of(stated)[1])
    assert isinstance(designed, Designed)
    makes = makes_of(briefs_of(stated)[1].work_cloth, bars="C16", rails="C16")
    grid = rectangle_grid(width=1310.0, height=470.0, columns=columns, rows=rows)
    give = frame_give(derive_frame(designed.design), makes, grid)
    force = -(
        rows_of(grid, side="bottom", along=655.0, width=80.0)[0]
        + rows_of(grid, side="top", along=655.0, width=80.0)[0]
    )
    return give, float(force @ give @ force) / 2


def test_a_frame_gives_symmetrically_and_never_takes_work_out_of_nothing() -> None:
    give, _ = give_of(SMALL)
    assert give == pytest.approx(give.T)
    force = np.random.default_rng(3).standard_normal((len(give), 5))
    assert np.all(np.einsum("ik,ij,jk->k", force, give, force) > 0)


def test_two_long_bars_drawn_together_give_between_hinged_and_clamped_beams() -> None:
    _, middle = give_of(SMALL)
    # F L³/48EI hinged and F L³/192EI clamped ends: C16 E 8000 (EN 338), 19 thick, 40 deep less its bevel;
    # span between the axes of the short bars. The lip turns with the bar, which adds a little: up to a half more.
    inertia = 19.0**3 * 37 / 12
    hinged = 1291.0**3 / (48 * 8000 * inertia)
    assert hinged / 4 < middle < 1.5 * hinged


def test_a_cross_rail_takes_most_of_the_give_away() -> None:
    _, bare = give_of(SMALL)
    _, braced = give_of(SMALL.replace("cross_rails = 0", "cross_rails = 1"))
    assert braced < 0.1 * bare


def test_the_give_does_not_depend_on_the_grid() -> None:
    _, coarse = give_of(SMALL)
    _, fine = give_of(SMALL, columns=52, rows=18)
    assert fine == pytest.approx(coarse, rel=0.03)


def test_a_work_with_a_fine_grid_gets_a_coarser_one_for_tries_and_a_small_one_none() -> None:
    stated = parse_batch(SMALL.replace("width = 1310", "width = 2410"))
    for name, tries in (("Long one", True), ("Small one", False)):
        work = canvas_work(stated, name, choose=design_of)
        bench = rehearsal_bench(
            work.draft.brief, designed=work.designed, frame=work.frame, canvas=work.canvas
        )
        # elements narrower than the staples' spacing, whatever it takes
        assert bench.grid.nodes[:, 0].max() / bench.grid.columns < 0.81 * bench.spacing
        found = coarse_of(bench, work.frame)
        assert (found.coarse is not None) == tries
        if found.coarse is not None:
            grid, give = found.coarse
            assert max(grid.columns, grid.rows) == 48 < found.grid.columns
            assert give.shape == (2 * len(grid.edge), 2 * len(grid.edge))


@pytest.mark.slow
def test_every_order_is_rehearsed_and_the_users_own_beside_them() -> None:
    found = rehearsed()
    names = {row.name for row in found.comparison.rows}
    assert {"middles outward", "pinwheel", "corners first", "two by two"} <= names
    spreads = [row.spread for row in found.comparison.rows]
    assert spreads == sorted(spreads)
    assert found.tension == 0.2
    assert not found.wetted


@pytest.mark.slow
def test_what_is_pulled_leaves_more_tension_where_more_is_wished() -> None:
    usual = rehearsed()
    harder = rehearse_work(batch(), "Small one", choose=design_of, tension_left=0.4, improving=False)
    means = [
        next(row.mean_level for row in one.comparison.rows if row.name == "middles outward")
        for one in (usual, harder)
    ]
    assert means[1] > 1.5 * means[0]


@pytest.mark.slow
def test_files_hold_a_picture_for_each_order_and_the_steps() -> None:
    found = rehearsed()
    say = voice_of("en", LengthStyle())
    files = rehearsal_files(found, say=say)
    pictures = [name for name in files if name.endswith(".svg")]
    assert len(pictures) == len(found.comparison.rehearsals)
    data = json.loads(files["rehearsal-small-one/rehearsal.json"])
    assert {row["path"] for row in data.pop("files")} == set(pictures)
    assert data == json.loads(json.dumps(rehearsal_document(found)))
    for one, row in zip(data["rehearsals"], data["orders"], strict=True):
        assert one["order"] == row["name"] and len(one["steps"]) == row["staples"]
        assert len(one["maps"]) == len(one["runs"])


@pytest.mark.slow
def test_a_map_is_darkest_where_the_cloth_is_tightest_and_crosses_what_is_slack() -> None:
    field = rehearsed().comparison.rehearsals[0].left
    rippled = np.zeros_like(field.rippled)
    rippled[0, 1] = 0.9
    say = voice_of("de", LengthStyle())
    view = field_view(
        replace(field, rippled=rippled),
        name="m",
        order="o",
        size=(317.0, 243.0),
        top=0.5,
        say=say,
        width=180.0,
    )
    lines = [mark for mark in view.marks if type(mark).__name__ == "Line"]
    # two dashed lines at each corner and one cross in each of the two panels
    assert len(lines) == 2 * (8 + 2)
    tones = [tone(value, 0.5) for value in np.linspace(-0.1, 0.7, 60)]
    assert tones == sorted(tones, reverse=True)
    assert len(set(tones)) == TONES
    assert 2.7 * 0.5 * (field.mean_level + field.mean_upright) > top_of([field]) > field.mean_level


def test_a_work_that_is_not_there_and_an_impossible_order_are_refused() -> None:
    with pytest.raises(FaultsError) as error:
        rehearse_work(batch(), "Smal one", choose=design_of)
    assert error.value.faults[0].code == "no-such-work"
    assert "Small one" in error.value.faults[0].remedy
    wish = parse_stated(OrderWish, '[[run]]\nside = "top"\nstaples = [2, 2, 77]\n')
    with pytest.raises(FaultsError) as error:
        rehearse_work(batch(), "Small one", choose=design_of, written=wish)
    codes = {fault.code for fault in error.value.faults}
    assert codes == {"order-twice", "order-unknown", "order-side-empty"}


def test_an_order_file_names_its_faults_by_line() -> None:
    with pytest.raises(FaultsError) as error:
        parse_stated(OrderWish, '[[run]]\nside = "tap"\nstaple = [2]\n', file="order.toml")
    assert [(fault.code, fault.where.line) for fault in error.value.faults] == [
        ("bad-word", 2),
        ("unknown-key", 3),  # and not that "staples" is missing as well: it is what was meant
    ]
