"""The staple map of one size of face: where, in which order, how hard, and what that order leaves on its own frame."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.paper.pages import Block, Bullets, Column, Drawing, Page, Paper, Table
from longpoint.drawing.sheets.canvas_sheet import CanvasSheet
from longpoint.drawing.sheets.rehearsed_page import left_lines
from longpoint.drawing.views.canvas import staple_map_view
from longpoint.drawing.words.members import ranges
from longpoint.drawing.words.own_words import order_words
from longpoint.drawing.words.voice import Voice
from longpoint.stretching.piece import Fastening
from longpoint.stretching.pull_zones import SidePull, side_pulls
from longpoint.stretching.rehearsal.hand_words import in_words
from longpoint.stretching.staple_map import Run, StapleMap, StapleUse


def staple_page(works: Sequence[CanvasSheet], *, say: Voice, paper: Paper) -> Page:
    """The staple map of one size of face, with its runs and what they leave.

    Args:
        works: Works with the same map and order.
        say: How the sheet speaks.
        paper: The sheet.
    """
    work = works[0]
    staples = work.staples
    tall = paper.room[1] * 0.44
    name = ", ".join(other.name for other in works)
    counts = say(
        "canvas.counts",
        edge=staples.count(StapleUse.EDGE),
        holding=staples.count(StapleUse.HOLDING),
        fold=staples.count(StapleUse.FOLD),
        leg=say.fine(work.leg, unit=True),
    )
    spacing = say(
        "canvas.spacing",
        level=say.place(staples.spacing_level, unit=True),
        upright=say.place(staples.spacing_upright, unit=True),
    )
    row = [
        say(
            "canvas.row-side" if work.piece.fastened is Fastening.SIDE else "canvas.row",
            row=say.fine(work.piece.row, unit=True),
            line=say.fine(work.piece.staple_line, unit=True),
        )
    ]
    if work.piece.past_bar > 0.5:
        row.append(say("canvas.past-bar", past=say.fine(work.piece.past_bar, unit=True)))
    told = [say(f"canvas.how-{order_key(work.order, say)}"), say("canvas.map-how"), zones(staples, say)]
    if work.waits:
        told.append(say("canvas.tuck-waits" if work.folded_level else "canvas.tuck-waits-level"))
    blocks: list[Block] = [
        Drawing(staple_map_view(staples, say=say, room=(paper.room[0], tall))),
        Bullets((*told, counts, spacing, *row, pull_words(work, say), *left_lines(works, say))),
        _runs_table(staples, say),
    ]
    return Page(
        "staples",
        say("section-name.canvas"),
        say("canvas.staples", name=name),
        tuple(blocks),
        about=tuple(other.name for other in works),
        stamp=say("stamp.face-down"),
        lead=say("canvas.order-lead", order=order_words(work.order, say)),
    )


def order_key(order: str, say: Voice) -> str:
    """The end of the keys that tell an order; ``own`` for the user's own."""
    key = order.replace(" ", "-")
    return key if say.has(f"canvas.how-{key}") else "own"


def share_words(share: float, say: Voice) -> str:
    """A share of the full pull as a hand is told it."""
    word = in_words(share)[1].split(" of ")[0].replace(" ", "-")
    return say(f"canvas.share-{word}")


def zones(staples: StapleMap, say: Voice) -> str:
    """How hard to pull where: "firm in the middle, two thirds towards the corners"."""
    level, upright = side_pulls(staples)
    told = [_side_words(side, say) for side in (level, upright)]
    if told[0] == told[1]:
        return say("canvas.pull-all-sides", words=told[0])
    return say("canvas.pull-each-side", level=told[0], upright=told[1])


def _side_words(side: SidePull, say: Voice) -> str:
    middle, between, corner = (share_words(x, say) for x in (side.middle, side.between, side.corner))
    if middle == between == corner:
        return say("canvas.pull-even", middle=middle)
    if middle == between:
        return say("canvas.pull-two", middle=middle, corner=corner)
    return say("canvas.pull-three", middle=middle, between=between, corner=corner)


def pull_words(work: CanvasSheet, say: Voice) -> str:
    """How hard to pull, as a hand knows it: as a weight that hangs on the pliers, and by a finger's dent."""
    key = "canvas.pull-snug" if work.only_snug else "canvas.pull"
    return say(key, jaw=say.fine(work.pull.jaw, unit=True), **pull_weights(work, say))


def pull_weights(work: CanvasSheet, say: Voice) -> dict[str, str]:
    """The pull on the pliers as weights that hang on them: least, most, and their unit."""
    low, high = sorted((work.pull.without_friction, work.pull.with_friction))
    unit = "lb" if say.lengths.system == "in" else "kg"
    one = 4.448 if unit == "lb" else 9.81  # N
    return {
        "light": say.number(low / one, places=0 if low / one >= 3 else 1),
        "heavy": say.number(high / one, places=0 if high / one >= 3 else 1),
        "unit": unit,
    }


def _runs_table(staples: StapleMap, say: Voice) -> Table:
    """Which runs are pulled how, and where a holding staple comes out."""
    return Table(
        (
            Column(say("canvas.runs"), strong=True),
            Column(say("canvas.in-a-run"), "end"),
            Column(say("canvas.how-firm"), share=1.0),
        ),
        firmness(staples, say),
    )


def firmness(staples: StapleMap, say: Voice) -> tuple[tuple[str, str, str], ...]:
    """Runs, staples in each, and how firm they are pulled; those before which a holding staple comes out last."""
    groups: dict[str, list[int]] = {}
    sizes: dict[str, list[int]] = {}
    share_of = {staple.label: staple.pull for staple in staples.staples}
    for run in staples.runs:
        words = _firm(run, share_of, say)
        groups.setdefault(words, []).append(run.number)
        sizes.setdefault(words, []).append(len(run.puts_in))
    rows = [(ranges(numbers), _from_to(sizes[words]), words) for words, numbers in groups.items()]
    driven_in: dict[str, int] = {}
    comes_out: list[tuple[int, str]] = []
    for run in staples.runs:
        held = [label for label in run.takes_out if label not in run.puts_in]
        if held:
            comes_out.append((run.number, ", ".join(str(driven_in.get(label, label)) for label in held)))
        for label in run.puts_in:
            driven_in.setdefault(label, run.number)
    if comes_out:
        before = ranges([number for number, _ in comes_out])
        key = "canvas.out" if len(comes_out) == 1 else "canvas.out-in-turn"
        rows.append(
            (before, "", say(key, labels=say("canvas.listed").join(labels for _, labels in comes_out)))
        )
    return tuple(rows)


def _from_to(counts: Sequence[int]) -> str:
    low, high = min(counts), max(counts)
    return str(low) if low == high else f"{low}–{high}"


def _firm(run: Run, share_of: dict[str, float], say: Voice) -> str:
    if run.puts_in and all(label.startswith("H") for label in run.puts_in):
        return say("canvas.holding")
    if run.puts_in and all(label.startswith("F") for label in run.puts_in):
        return say("canvas.fold-closed")
    if set(run.puts_in) & set(run.takes_out):
        return say("canvas.again", share=share_words(run.pull, say))
    shares = list(dict.fromkeys(share_words(share_of[x], say) for x in run.puts_in if share_of[x] > 0))
    if not shares:
        return say("canvas.laid-in")
    return say("canvas.then").join(shares)
