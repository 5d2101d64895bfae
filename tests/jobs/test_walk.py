"""How often a plan hands its batch from file to file: counted, so that it cannot grow unseen."""

from __future__ import annotations

import sys
from collections import Counter
from functools import cache
from types import FrameType
from typing import Any

import pytest

from longpoint.jobs.plan import plan_batch
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch
from longpoint.works.brief import Brief
from longpoint.works.stock import Stock

TWO = """
[[work]]
name = "Mole"
width = 900
height = 700
[[work]]
name = "Reeds"
width = 1300
height = 900
[[yard]]
name = "strip"
thickness = 21
depth = 44
lengths = [2400, 3000]
serves = ["bars"]
[[yard]]
name = "rail"
thickness = 21
depth = 28
lengths = [2400, 3000]
serves = ["rails"]
"""


KINDS = {Batch, Brief, Stock}
ROOMS = tuple(f"longpoint.{room}." for room in ("works", "choosing", "needs", "costing", "jobs"))
"""The engines below them know no batch."""


@cache
def handed() -> Counter[tuple[str, str, bool]]:
    """File and name of every function that is given such a value by another file, and whether that is the batch."""
    found: Counter[tuple[str, str, bool]] = Counter()
    batch = parse_batch(TWO)

    def file_of(frame: FrameType) -> str:
        name = str(frame.f_globals.get("__name__", ""))
        return name if name.startswith("longpoint.") else ""

    def look(frame: FrameType, event: str, _value: Any) -> None:
        code, file = frame.f_code, file_of(frame)
        if event != "call" or not file.startswith(ROOMS) or code.co_name.startswith("<"):
            return
        names = code.co_varnames[: code.co_argcount + code.co_kwonlyargcount]
        given = {type(frame.f_locals.get(name)) for name in names if name != "self"}
        if given.isdisjoint(KINDS):
            return
        before = frame.f_back
        while before is not None and not file_of(before):
            before = before.f_back
        if before is not None and file_of(before) != file:
            found[file, code.co_qualname, Batch in given] += 1

    sys.setprofile(look)
    try:
        plan_batch(batch)
    finally:
        sys.setprofile(None)
    return found


@pytest.mark.slow
def test_a_batch_is_handed_from_file_to_file_a_few_times() -> None:
    found = {where: count for where, count in handed().items() if where[2]}
    assert 0 < sum(found.values()) <= 15, found
    assert len({file for file, _, _ in found}) <= 12, found


@pytest.mark.slow
def test_what_a_work_starts_from_is_handed_on_no_more_often_than_it_was() -> None:
    """So that what was taken off the batch is not asked of its works and its stock instead.

    Four of them, and one file, keep candidates with their work and let them go once its design is settled.
    """
    assert handed().total() <= 203, handed()
    assert len({file for file, _, _ in handed()}) <= 28, handed()
