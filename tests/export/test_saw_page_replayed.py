"""Saw pages followed with a tape in the head: from the rows of plan.json alone, every cut from first to last.

Nothing of the cutting engine is used here. Each stick is known by where its left face stands on the edge at the fence
(far) and on the edge towards the person (near); a saw cut takes its kerf along the board, at 45° the kerf times √2.
"""

from __future__ import annotations

import copy
import json
import math
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.export.rows.plan import plan_json
from longpoint.jobs.plan import plan_batch
from longpoint.model.reading import parse_batch

ROOT = Path(__file__).parents[2]
HAIR = 5e-4  # mm; the file keeps lengths to a ten-thousandth

Document = dict[str, Any]


@cache
def written(name: str) -> str:
    text = (ROOT / "examples" / f"{name}.toml").read_text(encoding="utf-8")
    return plan_json(plan_batch(parse_batch(text), choose=design_of)).decode()


@dataclass
class Stick:
    """What is still in one piece: its left face on both edges, its right end, what was cut last."""

    far: float
    near: float
    right: float
    ends_board: bool
    raw: bool = True
    last_swing: str = ""
    last_far: float = 0.0
    last_near: float = 0.0


def follow(document: Document) -> list[str]:
    """What goes wrong when somebody does exactly what the rows say."""
    wanted = {part["mark"]: part for work in document["works"] for part in work["parts"]}
    made: Counter[str] = Counter()
    wrong: list[str] = []
    for section in document["boards"]:
        wrong += _follow_section(section, wanted, made)
    for mark, part in wanted.items():
        if made[mark] != part["how_many"]:
            wrong.append(f"{mark}: {made[mark]} are made, {part['how_many']} wanted")
    wrong += [f"{mark}: nobody wants it" for mark in made if mark not in wanted]
    return wrong


def _follow_section(section: Document, wanted: Document, made: Counter[str]) -> list[str]:
    kerf, trim = section["saw"]["kerf"], section["saw"]["end_trim"]
    slant = kerf * math.sqrt(2)
    boards = {(row["board"], row["copy_number"]): row for row in section["boards"]}
    sticks = {key: [Stick(0.0, 0.0, row["length"], True)] for key, row in boards.items()}
    to_come = {key: list(row["cuts"]) for key, row in boards.items()}
    where_set: dict[str, set[tuple[int, float]]] = {}
    wrong: list[str] = []
    for turn in section["rounds"]:
        for cut in turn["crosscuts"]:
            key = (cut["board"], cut["copy_number"])
            if not any(span["start"] <= cut["at"] <= span["end"] for span in boards[key]["spoiled"]):
                wrong.append(f"{key} is cut through where nothing is spoiled")
            old = next(stick for stick in sticks[key] if stick.far < cut["at"] < stick.right)
            sticks[key].append(Stick(cut["at"], cut["at"], old.right, old.ends_board))
            old.right, old.ends_board = cut["at"], False
        for cut in turn["before_bevel"]:
            key = (cut["board"], cut["copy_number"])
            old = next(stick for stick in sticks[key] if stick.far < cut["at"] < stick.right)
            beyond, at = cut["at"] + kerf, cut["at"]
            sticks[key].append(Stick(beyond, beyond, old.right, old.ends_board, False, "square", at, at))
            old.right, old.ends_board = at, False
            square = [row for row in boards[key]["cuts"] if not wanted[row["part"]]["bevel_fall"]]
            if any(row["start"] < at for row in square):
                wrong.append(f"{key}: a square part lies in what is bevelled")
        stops = [(row["stop"], row["kept"]) for row in turn["settings"]]
        if len(set(stops)) != len(stops):
            wrong.append(f"round {turn['number']}: the stop is set twice to one length")
        done = 0
        for setting in turn["settings"]:
            for at in setting["cuts"]:
                key = (at["board"], at["copy_number"])
                row = next((one for one in to_come[key] if one["part"] == at["part"]), None)
                if row is None:
                    wrong.append(f"{key}: {at['part']} is not on it, or cut already")
                    continue
                to_come[key].remove(row)
                wrong += [
                    f"{key}, {at['part']}: {what}"
                    for what in _cut(
                        row, at, setting, boards[key], sticks[key], wanted[at["part"]], kerf, slant, trim
                    )
                ]
                if any(
                    other["start"] < row["start"] and _same_stick(boards[key], other, row)
                    for other in to_come[key]
                ):
                    wrong.append(f"{key}, {at['part']}: a part to its left is still to be cut")
                made[at["part"]] += 1
                where_set.setdefault(at["part"], set()).add((turn["number"], setting["stop"]))
                done += 1
            if setting["done"] != done:
                wrong.append(f"round {turn['number']}, stop {setting['stop']}: the running total is wrong")
        if any(setting["wanted"] != done for setting in turn["settings"]):
            wrong.append(f"round {turn['number']}: another number is wanted than is cut")
    wrong += [f"{key}: {len(left)} parts are never cut" for key, left in to_come.items() if left]
    wrong += [
        f"{mark}: both of a pair need one setting" for mark, places in where_set.items() if len(places) != 1
    ]
    for key, row in boards.items():
        stick = next(stick for stick in sticks[key] if stick.ends_board)
        end = row["length"] - trim
        lost = any(span["end"] >= end for span in row["spoiled"])
        left = 0.0 if lost else max(0.0, end - max(stick.far, stick.near))
        if stick.raw and not lost:  # the last stick is whole: it begins where the spoiled span ends
            left = end - max((span["end"] for span in row["spoiled"]), default=trim)
        if abs(left - row["remains"]) > HAIR:
            wrong.append(f"{key}: {row['remains']} is said to remain, {left:.4f} does")
    return wrong


def _same_stick(board: Document, left: Document, right: Document) -> bool:
    """Whether no spoiled span lies between two cuts."""
    return not any(left["end"] <= span["start"] <= right["start"] for span in board["spoiled"])


def _cut(
    row: Document,
    at: Document,
    setting: Document,
    board: Document,
    sticks: list[Stick],
    part: Document,
    kerf: float,
    slant: float,
    trim: float,
) -> list[str]:
    wrong: list[str] = []
    mitred = part["ends"] == ["mitre", "mitre"]
    width = part["thickness"] if mitred else 0.0
    start, end = row["start"], row["end"]
    long_enough = [one for one in sticks if one.far < end and one.right > end - HAIR]
    if not long_enough:
        return ["no piece is long enough"]
    stick = max(long_enough, key=lambda one: one.far)
    # The stop measures the long point; what is measured on the frame keeps a little on top.
    if abs(end - start - setting["stop"] - setting["kept"]) > HAIR or row["stop"] != setting["stop"]:
        wrong.append(f"the stop stands at {setting['stop']}, the piece is {end - start:.4f} long")
    if abs(setting["stop"] - part["long_point"]) > HAIR:
        wrong.append(f"the stop stands at {setting['stop']}, its long point is {part['long_point']}")
    # The handle swung to the right: the near edge of the cut lies further right. Not turned, the long side is far.
    expected = ("square", "square") if not mitred else ("swing right", "swing left")
    if row["turned"]:
        expected = ("swing left", "swing right")
    if (row["swing_start"], row["swing_end"]) != expected:
        wrong.append("the saw is swung the wrong way")
    if row["turned"] and part["bevel_fall"]:
        wrong.append("a bevelled piece is turned")
    inset = width if row["turned"] else 0.0
    far, near = start + inset, start + width - inset
    far_end, near_end = end - inset, end - width + inset
    first = 0.0 if board["sawn"] else trim
    along = slant if mitred else kerf
    if stick.raw:
        # Trimmed square first, its own cut included; after a spoiled span the saw passes inside the span.
        begin = max(
            [first, stick.far, *(s["end"] for s in board["spoiled"] if s["start"] <= max(first, stick.far))]
        )
        if min(far, near) < begin - HAIR:
            wrong.append(f"it begins at {min(far, near)}, the clear timber at {begin}")
        falls = near - along - begin if mitred else 0.0
    else:
        one_cut = row["swing_start"] == stick.last_swing and all(
            abs(here - then - along) < HAIR for here, then in ((far, stick.last_far), (near, stick.last_near))
        )
        if not one_cut and min(far - stick.far, near - stick.near) < -HAIR:
            wrong.append("it begins in timber that the saw has taken")
        falls = 0.0 if one_cut else max(near - along - stick.near, far - along - stick.far)
    if abs(max(0.0, falls) - row["triangle"]) > HAIR:
        wrong.append(f"a triangle of {row['triangle']} is said to fall out, one of {falls:.4f} does")
    if max(far_end, near_end) > board["length"] - trim + HAIR:
        wrong.append("it reaches into the far trim")
    if any(start < span["end"] - HAIR and span["start"] + HAIR < end for span in board["spoiled"]):
        wrong.append("a spoiled span is in it")
    held = stick.right - start
    if abs(held - at["held"]) > HAIR:
        wrong.append(f"{held:.4f} is held, {at['held']} is said")
    stick.raw, stick.last_swing = False, row["swing_end"]
    stick.last_far, stick.last_near = far_end, near_end
    stick.far, stick.near = far_end + along, near_end + along
    if at["is_last"]:
        end_here = board["length"] - trim if stick.ends_board else stick.right
        left = max(0.0, end_here - max(stick.far, stick.near))
        if abs(left - at["remains"]) > HAIR:
            wrong.append(f"{at['remains']} is said to remain, {left:.4f} does")
    return wrong


def unsafe(document: Document) -> list[str]:
    """Every stick that is shorter than may be held, at any cut."""
    return [
        f"{cut['board']} {cut['copy_number']}, {cut['part']}: {cut['held']}"
        for section in document["boards"]
        for turn in section["rounds"]
        for setting in turn["settings"]
        for cut in setting["cuts"]
        if cut["held"] < section["saw"]["shortest_held"]
    ]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["winter-show", "five-lines"])
def test_the_saw_page_gives_exactly_the_parts_and_what_it_says_remains(name: str) -> None:
    document = json.loads(written(name))
    assert follow(document) == []
    assert unsafe(document) == []


SHARED = """
[bars]
bevel_when = "{when}"
thickness = 20
depth = 44
[inside]
cross_rails = 1
thickness = 44
depth = 20
drop = 7
[[yard]]
name = "20 x 44"
thickness = 20
depth = 44
lengths = [2400, 3000]
[[rack]]
name = "R"
thickness = 20
depth = 44
length = 2750
avoid = [{{ start = 1240, stop = 1300, why = "knot" }}]
[[work]]
name = "Student"
width = 610
height = 457
how_many = 6
"""


@pytest.mark.slow
@pytest.mark.parametrize("when", ["before cutting", "after cutting"])
def test_bars_and_rails_of_one_timber_share_boards(when: str) -> None:
    plan = plan_batch(parse_batch(SHARED.format(when=when)), choose=design_of)
    document = json.loads(plan_json(plan))
    assert [section["use"] for section in document["boards"]] == ["bars and rails"]
    # What is bevelled after cutting may be turned on the board.
    assert [one for one in follow(document) if "is turned" not in one or when == "before cutting"] == []
    assert unsafe(document) == []
    ends = document["boards"][0]["rounds"][0]["before_bevel"]
    assert bool(ends) == (when == "before cutting")
    if ends:
        ends[0]["at"] += 450
        assert follow(document)


def _first_bar(document: Document) -> Document:
    return document["boards"][0]["boards"][0]["cuts"][1]


def _swing(document: Document) -> None:
    _first_bar(document)["swing_start"] = "swing left"


def _shift(document: Document) -> None:
    cut = _first_bar(document)
    cut["start"], cut["end"] = cut["start"] - 1, cut["end"] - 1


def _stop(document: Document) -> None:
    document["boards"][0]["rounds"][0]["settings"][2]["stop"] += 1


def _total(document: Document) -> None:
    document["boards"][1]["rounds"][0]["settings"][1]["done"] += 1


def _remains(document: Document) -> None:
    document["boards"][0]["boards"][3]["remains"] += 0.01


def _triangle(document: Document) -> None:
    _first_bar(document)["triangle"] += 0.5


def _kerf(document: Document) -> None:
    document["boards"][0]["saw"]["kerf"] += 0.2


def _lost(document: Document) -> None:
    document["boards"][0]["rounds"][0]["settings"][0]["cuts"].pop()


def _through(document: Document) -> None:
    document["boards"][0]["rounds"][0]["crosscuts"][0]["at"] -= 300


def _held(document: Document) -> None:
    document["boards"][0]["rounds"][0]["settings"][0]["cuts"][0]["held"] += 1


def _count(document: Document) -> None:
    document["works"][0]["parts"][0]["how_many"] += 1


def _long_point(document: Document) -> None:
    document["works"][0]["parts"][0]["long_point"] += 0.01


@pytest.mark.slow
@pytest.mark.parametrize(
    "harm",
    [_swing, _shift, _stop, _total, _remains, _triangle, _kerf, _lost, _through, _held, _count, _long_point],
)
def test_whoever_follows_a_spoiled_page_notices(harm: Callable[[Document], None]) -> None:
    document = copy.deepcopy(json.loads(written("winter-show")))
    harm(document)
    assert follow(document)
