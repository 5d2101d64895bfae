"""The order on the map is the one rehearsed: named by the batch, read from a file, printed with what it leaves."""

from __future__ import annotations

import json
import pickle
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.cli import rehearsals
from longpoint.cli.batch_file import read_batch
from longpoint.drawing.words.voice import voice_of
from longpoint.errors import FaultsError
from longpoint.export.rehearsal_files import order_text
from longpoint.export.rows.plan import plan_document
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.jobs.rehearse import ImprovedOrder, rehearse_work
from longpoint.model.order import USUAL_ORDERS
from longpoint.model.reading import parse_batch
from longpoint.stretching.rehearsal.order_form import form_of, places_of_map
from longpoint.stretching.rehearsal.orders_usual import usual_orders
from longpoint.stretching.staple_map import StapleUse
from longpoint.works.brief import briefs_of
from longpoint.works.designed import Designed
from longpoint.works.draft import canvas_work
from longpoint.works.printed_order import (
    Answer,
    MapToRehearse,
    _cautions,
    map_to_rehearse,
    rehearse_map,
    rehearsed_maps,
)
from longpoint.works.rehearse_bench import rehearsal_bench

SMALL = """
[[work]]
name = "Small one"
width = 397
height = 311
[[work]]
name = "Its twin"
width = 397
height = 311
[[work]]
name = "Own way"
width = 397
height = 311
cloth = { order = "own.toml" }
[[roll]]
name = "duck"
width = 2100
mass = 340
state = "primed"
[primer]
coats = 0
"""


def own_order(full_pull: float = 0.35) -> str:
    """The pinwheel for this face, as a file, with one staple pulled lighter."""
    plain = SMALL.replace('cloth = { order = "own.toml" }', "")
    mapped = canvas_work(parse_batch(plain), "Own way", choose=design_of).canvas.staples
    order = usual_orders(width=397.0, height=311.0, places=places_of_map(mapped))[1]
    return order_text(ImprovedOrder("mine", (397.0, 311.0), full_pull, form_of(order)), voice_of())


@cache
def planned(folder: Path) -> Plan:
    (folder / "batch.toml").write_text(SMALL)
    (folder / "own.toml").write_text(own_order())
    return plan_batch(read_batch(folder / "batch.toml").batch, rehearsing=True)


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    return planned(tmp_path_factory.mktemp("order"))


def test_the_names_a_batch_may_say_are_those_of_the_usual_orders() -> None:
    mapped = canvas_work(parse_batch(SMALL.replace("own.toml", "pinwheel")), "Small one", choose=design_of)
    orders = usual_orders(width=397.0, height=311.0, places=places_of_map(mapped.canvas.staples))
    assert tuple(order.name for order in orders) == USUAL_ORDERS


@pytest.mark.slow
def test_works_that_are_alike_share_a_rehearsal_and_another_order_leaves_something_else(plan: Plan) -> None:
    one, twin, own = (work.rehearsed for work in plan.works)
    assert one is not None and own is not None
    assert one is twin
    assert own.figures.mean_level != pytest.approx(one.figures.mean_level, rel=1e-3)
    # the file says 350 N/m at the lip; the batch's own pull is the prestrain that leaves 200 N/m
    usual = plan.works[0].canvas.tensions.prestrain.middle
    assert own.force / one.force == pytest.approx(0.35 / usual, rel=1e-6)


@pytest.mark.slow
def test_the_printed_map_follows_the_order_of_the_file(plan: Plan) -> None:
    mapped = plan.works[2].canvas.staples
    assert mapped.count(StapleUse.HOLDING) == 0
    sides = [run.side for run in mapped.runs[:8]]
    assert sides == ["bottom", "right", "top", "left"] * 2  # the pinwheel goes on to the next side round
    assert plan.works[0].canvas.staples.count(StapleUse.HOLDING) == 4


@pytest.mark.slow
def test_the_document_carries_order_and_figures(plan: Plan) -> None:
    document = json.loads(plan_document(plan).model_dump_json())
    canvas = [work["canvas"] for work in document["works"]]
    assert [one["order"] for one in canvas] == ["middles outward", "middles outward", "own.toml"]
    for one, work in zip(canvas, plan.works, strict=True):
        assert work.rehearsed is not None
        assert one["rehearsed"]["level"] == round(1000 * work.rehearsed.figures.mean_level, 1)
        assert set(one["rehearsed"]["bars_drawn_in"]) == {"bottom", "right", "top", "left"}
    assert document["batch"]["order"][0]["name"] == "own.toml"  # the plan needs no other file


RAW = SMALL.replace('"own.toml"', '"pinwheel"').replace('"primed"', '"raw"').replace("coats = 0", "coats = 2")


@cache
def wetted() -> Plan:
    return plan_batch(parse_batch(RAW), rehearsing=True)


@pytest.mark.slow
def test_raw_cloth_is_rehearsed_snug_and_then_tightened_by_what_water_adds() -> None:
    for work in wetted().works:
        found, wetting = work.rehearsed, work.canvas.wetting
        assert found is not None and wetting is not None and found.wetted
        by = {state.when: state for state in found.states}
        assert list(by) == ["stapled", "likely", "least", "most"]
        mean = {when: 0.5 * (state.level + state.upright) for when, state in by.items()}
        # snug: less is left in the cloth than the pull brought, and more than nothing
        assert 0 < mean["stapled"] < wetting.snug.middle
        # what water adds is what the page says less what the frame and the free edges between staples give: a frame
        # of 397 × 311 mm gives little
        for when, added in (("likely", wetting.added.middle), ("most", wetting.added.high)):
            assert 0.5 * added < mean[when] - mean["stapled"] < 1.02 * added
        assert mean["least"] < mean["likely"] < mean["most"]
        # it comes on top evenly, so what was uneven counts for less, and nothing is slack any more
        assert by["likely"].spread < 0.5 * by["stapled"].spread
        assert by["likely"].slack == 0.0
        assert by["stapled"].staple < by["likely"].staple < by["most"].staple
        assert found.figures.mean_level == by["likely"].level
        assert found.wished == 0.2  # as the batch wishes, not what is left of a snug pull


@pytest.mark.slow
@pytest.mark.parametrize("raw", [False, True], ids=["primed, an order of its own", "raw, pinwheel"])
def test_the_pack_and_the_comparison_give_the_same_figures(raw: bool, plan: Plan) -> None:
    made = wetted() if raw else plan
    compared = rehearse_work(made.batch, "Own way", choose=design_of, improving=False)
    rows = {row.name: row for row in compared.comparison.rows}
    # spread, corners, greatest staple and all the rest, to the last digit
    printed = made.works[2].rehearsed
    assert printed is not None
    assert rows[made.works[2].canvas.stapling.order.name] == printed.figures
    if not raw:
        # its own full pull, not the batch's
        assert rows["pinwheel"].mean_level != pytest.approx(printed.figures.mean_level, rel=1e-3)
        # and the usual order beside it is the one printed for the same face
        usual = made.works[0].rehearsed
        assert usual is not None
        assert rows["middles outward"] == usual.figures


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved(Designed):
    """A design with something that cannot go to another process, as computed ones have."""

    solve: object


@pytest.mark.slow
def test_a_map_that_went_to_another_process_gives_the_same_figures(plan: Plan) -> None:
    maps = [
        map_to_rehearse(
            brief,
            designed=Solved(d.design, d.bars, d.rails, solve=lambda: None),
            frame=work.frame,
            canvas=work.canvas,
        )
        for brief, work in zip(briefs_of(plan.batch), plan.works, strict=True)
        for d in (work.designed,)
    ]
    sent: list[str] = []

    def elsewhere(different: Sequence[MapToRehearse]) -> Iterator[Answer]:
        for one in different:
            sent.append(one.brief.work.name)
            yield pickle.loads(pickle.dumps(rehearse_map(pickle.loads(pickle.dumps(one)))))

    assert rehearsed_maps(maps, run=elsewhere) == [work.rehearsed for work in plan.works]
    assert sent == ["Small one", "Own way"]  # its twin shares


@pytest.mark.slow
def test_a_staple_that_may_tear_the_cloth_only_if_it_shrinks_far_is_told_apart() -> None:
    work = wetted().works[0]
    bench = rehearsal_bench(
        briefs_of(wetted().batch)[0],
        designed=work.designed,
        frame=work.frame,
        canvas=work.canvas,
        full_pull=None,
    )
    found = bench.one(work.canvas.stapling.order)
    most = found.rehearsal.left_if[1].load
    assert found.rehearsal.peak_load[0] < 0.5 * most

    def told(tear_load: float) -> list[str]:
        return [caution.code for caution in _cautions(replace(found, tear_load=tear_load), wished=0.2)]

    # less than is wished is no matter here: how far cloth shrinks is not in the order's hand
    assert told(1.01 * most) == []
    assert told(0.99 * most) == ["staple-tear-wet"]
    assert told(0.9 * found.rehearsal.peak_load[0]) == ["staple-tear"]


def test_few_maps_are_rehearsed_without_another_process(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("longpoint.works.printed_order.one_by_one", lambda maps: (one for one in maps))
    assert list(rehearsals.side_by_side(["a", "b"])) == ["a", "b"]  # type: ignore[list-item]


def test_a_wrong_order_file_is_told_with_its_own_line(tmp_path: Path) -> None:
    (tmp_path / "batch.toml").write_text(SMALL)
    wrong = own_order().replace("staples = [", "staples = [2, ", 1)
    (tmp_path / "own.toml").write_text(wrong)
    file = read_batch(tmp_path / "batch.toml")
    with pytest.raises(FaultsError) as error:
        canvas_work(file.batch, "Own way", choose=design_of)
    told = file.placed(error.value.faults)
    assert {fault.where.file for fault in told} == {"own.toml"}
    assert {fault.code for fault in told} == {"order-twice"}
    assert all(fault.where.line and "Own way" in fault.what for fault in told)


def test_an_order_file_that_is_not_there_and_one_that_is_no_toml_are_told(tmp_path: Path) -> None:
    (tmp_path / "batch.toml").write_text(SMALL)
    with pytest.raises(FaultsError) as error:
        read_batch(tmp_path / "batch.toml")
    (fault,) = error.value.faults
    assert (fault.code, fault.where.file, fault.where.key) == (
        "cannot-read",
        "batch.toml",
        "work[3].cloth.order",
    )
    assert fault.where.line == SMALL[: SMALL.index("own.toml")].count("\n") + 1
    (tmp_path / "own.toml").write_text("run = [")
    with pytest.raises(FaultsError) as error:
        read_batch(tmp_path / "batch.toml")
    assert [one.where.file for one in error.value.faults] == ["own.toml"]
    with pytest.raises(FaultsError) as unread:
        canvas_work(parse_batch(SMALL), "Own way", choose=design_of)
    assert unread.value.faults[0].code == "order-not-read"
