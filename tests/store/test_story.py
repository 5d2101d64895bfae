"""The whole story on a small batch: planned from the rack, half cut, a bar spoiled, planned anew, finished, learnt.

Two benches work on one store, in a file and on a server; every evening is told again by the journal in the end.
"""

from __future__ import annotations

import json
import subprocess
import threading
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import zxingcpp
from PIL import Image

from longpoint.choosing.by_rule import design_of
from longpoint.cli.planned_from_store import cautions_of
from longpoint.drawing.paper.pages import A4, Paragraph
from longpoint.drawing.views.boards import in_plain_names
from longpoint.drawing.words.voice import voice_of
from longpoint.export.packs.book_pack import rack_labels_pdf
from longpoint.export.packs.reasons_of import reasons_of
from longpoint.export.replan_files import replan_json
from longpoint.export.rows.plan import plan_json
from longpoint.export.rows.replan import read_old_plan
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.jobs.replan import replan_after
from longpoint.model.events import Events
from longpoint.model.reading import parse_batch, read_text
from longpoint.store import Store, open_store
from longpoint.store.book.compare import compared
from longpoint.store.book.document import boards_of
from longpoint.store.book.learned import with_learned
from longpoint.store.book.plans import add_plan, close_batch, document, plans, standing
from longpoint.store.book.ticks import copies, set_state, tick_board, tick_cut, tick_roll
from longpoint.store.book.values import measure
from longpoint.store.keeping.archive import check_store
from longpoint.store.rack.days import rack_at
from longpoint.store.rack.for_plan import with_rack
from longpoint.store.rack.reserving import kept_by
from longpoint.store.rack.stock import history, listed, put, thing
from store.making import RACK, Clock, board, cloth, supply

EVENTS = """
[[cut]]
board = "{begun.board}"
cuts = 2
[[cut]]
board = "{whole.board}"
[[spoiled]]
part = "{begun.parts[0]}"
"""


class Days:
    """Evenings as they were seen, and the clock that goes on to the next morning."""

    def __init__(self, store: Store) -> None:
        self.store, self.clock = store, store._clock
        self.seen: list[tuple[Any, list[tuple[str, int, int]]]] = []

    def evening(self) -> None:
        with self.store.reading() as desk:
            self.seen.append((desk.now, _there(listed(desk, limit=None))))
        assert isinstance(self.clock, Clock)
        self.clock.now += timedelta(days=1)


def _there(things: list[Any]) -> list[tuple[str, int, int]]:
    return sorted((one.label, one.amount, one.reserved) for one in things)


def _codes(pdf: bytes, folder: Path) -> list[str]:
    """What the square codes of a print say."""
    (folder / "labels.pdf").write_bytes(pdf)
    subprocess.run(
        ["pdftoppm", "-r", "200", "-png", str(folder / "labels.pdf"), str(folder / "label")], check=True
    )
    return [
        code.text
        for file in sorted(folder.glob("label*.png"))
        for code in zxingcpp.read_barcodes(Image.open(file))
    ]


def _figures(planned: Plan) -> tuple[float, float, str]:
    """Hours of the work, the most its canvas may pull, and what the reasons say of what was measured."""
    say = voice_of("en")
    said = [
        block.words
        for page in reasons_of(planned, say=say, paper=A4).pages
        for block in page.blocks
        if isinstance(block, Paragraph) and "measured here" in block.words
    ]
    (work,) = planned.works
    return planned.cost.works[0].hours.middle, work.canvas.story.left.high, "\n".join(said)


def test_from_the_rack_to_the_wall_and_into_the_next_plan(store: Store, tmp_path: Path) -> None:
    other = open_store(store.place, clock=store._clock)
    days = Days(store)
    batch = parse_batch(RACK)

    # the rack is filled and the batch planned from it
    with store.writing("Mara") as desk:
        put(desk, [board(2600), board(2300), board(1250, serves="bar"), board(3000), cloth(cloth="duck")])
        put(desk, [supply(200, what="staples"), supply(40, what="screw 3.5 × 45 mm", kind="screw")])
        stated, _ = with_rack(desk, batch)
    first = plan_json(plan_batch(stated, choose=design_of))
    with store.writing("Mara") as desk:
        plan = add_plan(desk, json.loads(first), from_rack=True)
        assert kept_by(desk, plan.id).keys() >= {"R1", "S1", "S2"}
    days.evening()

    # half is cut at two benches, and one bar is spoiled
    boards = boards_of(json.loads(first))
    begun = max(boards, key=lambda one: len(one.parts))
    whole = next(one for one in boards if one is not begun)
    for bench, number in ((store, 1), (other, 2)):
        with bench.writing("Mara" if bench is store else "Ben") as desk:
            tick_cut(desk, plan.id, begun.cut_key(number))
    _both(store, other, lambda desk: tick_board(desk, plan.id, whole))
    with store.reading() as desk:
        gone = [line for line in history(desk, whole.board) if line.happened == "taking"]
        assert len(gone) == 1  # both benches ticked it, it left once
        standing_plan = document(desk, plan.id)
    days.evening()

    # the rest is planned anew, with what lies free now
    events = EVENTS.format(begun=begun, whole=whole).encode()
    old = read_old_plan(json.dumps(standing_plan).encode(), file="plan.json")
    happened = read_text(Events, events, file="events.toml", unit="mm").whole()
    with other.reading() as desk:
        now, _ = with_rack(desk, old.batch)
    mine = tuple(one for one in old.batch.rack if one.name in {each.board for each in boards})
    free = tuple(one for one in now.rack if one.name not in {each.name for each in mine})
    old = replace(old, batch=old.batch.model_copy(update={"rack": (*mine, *free)}))
    rest = json.loads(replan_json(replan_after(old, in_plain_names(happened))))
    with other.writing("Ben") as desk:
        again = add_plan(desk, rest, from_rack=True)
        assert [one.state for one in plans(desk, plan.batch)] == ["replaced", "standing"]
        assert kept_by(desk, plan.id) == {} and "R1" in kept_by(desk, again.id)
        assert any(one.about == "boards" for one in compared(standing_plan, document(desk, again.id)))
    days.evening()

    # the rest is cut, offcuts come back with labels whose codes find them
    backs: list[str] = []
    for number, one in enumerate(boards_of(rest)):
        bench = (store, other)[number % 2]
        with bench.writing("Mara" if bench is store else "Ben") as desk:
            backs += tick_board(desk, again.id, one).offcuts
    with store.writing("Mara") as desk:
        tick_roll(desk, again.id, "R1")
        assert thing(desk, begun.board).amount == 0 and backs
        labels = [(label, [thing(desk, label).words]) for label in backs]
    printed = _codes(rack_labels_pdf(labels, say=voice_of("de"), paper=A4), tmp_path)
    with other.reading() as desk:
        assert sorted(thing(desk, code).label for code in printed) == sorted(backs)
        assert all(thing(desk, label).facts["cut_from"] for label in backs)
    days.evening()

    # built, stretched, primed, hung; hours and the cloth are measured
    with store.writing("Mara") as desk:
        made = copies(desk, batch=plan.batch)
        for one in made:
            done = set_state(desk, one.label, "hung")
            value = measure(desk, "hours build", 1.5, label=one.label)
            assert value.planned is not None and done.used
        for stiff, shrinks in ((20_000, 0.011), (24_000, 0.012), (22_000, 0.012)):
            measure(desk, "stiffness", stiff, about="duck")
            measure(desk, "shrinkage", shrinks, about="duck")
        assert (thing(desk, "S1").amount, thing(desk, "S2").amount) == (20_000, 16_000)
        freed = close_batch(desk, plan.batch, "done")
        assert standing(desk, plan.batch) is None and not set(freed) & {"S1", "S2"}
    days.evening()

    # every evening is told again, and nothing is wrong
    with other.reading() as desk:
        for moment, there in days.seen:
            assert _there(rack_at(desk, moment)) == there
        assert _there(listed(desk, limit=None)) == days.seen[-1][1]
    assert len({str(there) for _, there in days.seen}) == 5 and check_store(store) == []

    # the next plan is another one, and says why
    with store.reading() as desk:
        stated, _ = with_rack(desk, batch.model_copy(update={"title": "Next"}))
        taught, used = with_learned(desk, stated)
    before = _figures(plan_batch(stated, choose=design_of))
    after_plan = plan_batch(taught, choose=design_of)
    after = _figures(replace(after_plan, cautions=(*after_plan.cautions, *cautions_of(used))))
    assert after[0] > 1.2 * before[0] and after[1] < 0.6 * before[1] and before[2] == ""
    for said in (
        "shop.factors.build = 1.75",
        "n = 3",
        "roll[1].stiffness = 22000",
        "roll[1].water_tension = 264",
    ):
        assert said in after[2], said
    other.close()


def _both(one: Store, two: Store, change: Any) -> None:
    """Two benches do the same at once."""

    def do(store: Store) -> None:
        with store.writing("Mara" if store is one else "Ben") as desk:
            change(desk)

    benches = [threading.Thread(target=do, args=(store,)) for store in (one, two)]
    for bench in benches:
        bench.start()
    for bench in benches:
        bench.join()
