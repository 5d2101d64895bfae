"""How often a plan hands its batch from file to file: counted, so that it cannot grow unseen."""

from __future__ import annotations

import sys
from collections import Counter
from types import FrameType
from typing import Any

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


def handed(batch: Batch, *kinds: type) -> Counter[str]:
    """Functions that are given such a value by another file while a batch is planned, by their names."""
    found: Counter[str] = Counter()

    def file_of(frame: FrameType) -> str:
        name = str(frame.f_globals.get("__name__", ""))
        return name if name.startswith("longpoint.") else ""

    def look(frame: FrameType, event: str, _value: Any) -> None:
        code, file = frame.f_code, file_of(frame)
        if event != "call" or not file or code.co_name.startswith("<"):
            return
        before = frame.f_back
        while before is not None and not file_of(before):
            before = before.f_back
        given = code.co_varnames[: code.co_argcount + code.co_kwonlyargcount]
        if (
            before is not None
            and file_of(before) != file
            and any(name != "self" and isinstance(frame.f_locals.get(name), kinds) for name in given)
        ):
            found[f"{file}:{code.co_qualname}"] += 1

    sys.setprofile(look)
    try:
        plan_batch(batch)
    finally:
        sys.setprofile(None)
    return found


def test_a_batch_is_handed_from_file_to_file_a_few_times() -> None:
    found = handed(parse_batch(TWO), Batch)
    assert found.total() <= 14, found
    assert len({name.partition(":")[0] for name in found}) <= 11, found


def test_what_a_work_starts_from_is_handed_on_no_more_often_than_it_was() -> None:
    """So that what was taken off the batch is not asked of its works and its stock instead."""
    found = handed(parse_batch(TWO), Batch, Brief, Stock)
    assert found.total() <= 340, found
    assert len({name.partition(":")[0] for name in found}) <= 25, found
