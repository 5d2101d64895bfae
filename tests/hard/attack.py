"""The attack itself: mutated inputs against everything that reads, in one process, each counted.

``python tests/hard/attack.py SECONDS [SEED]`` runs until the time is over and says how many of each kind were read, how
long the slowest took and what fell; `make attack` does that. A test runs a few hundred.
"""

from __future__ import annotations

import contextlib
import io
import json
import random
import resource
import signal
import sys
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from longpoint.works.brief import briefs_of

sys.path.insert(0, str(Path(__file__).parents[1]))

from hard.mutations import changed_bytes, changed_json, changed_toml, changed_words, json_text
from longpoint.choosing.by_rule import design_of
from longpoint.cutting.boards.lists import cut_list, parse_cut_list
from longpoint.cutting.lay.list import read_lay_list
from longpoint.errors import LongpointError
from longpoint.export.rows.plan import plan_json
from longpoint.export.rows.replan import read_old_plan
from longpoint.jobs.against import faults_against
from longpoint.jobs.plan import plan_batch
from longpoint.model.answers import Answers
from longpoint.model.events import EVENTS_STARTER, Events
from longpoint.model.order import OrderWish
from longpoint.model.reading import parse_batch, read_batch_text, read_text
from longpoint.model.starter import starter_text

ROOT = Path(__file__).parents[2]
MOST_SECONDS = 5
"""One input may take no longer; counted by the process, whatever else runs beside."""

ORDER = 'name = "mine"\nfull_pull = 200\n[[run]]\nside = "left"\nstaples = [1, 2, 3]\npull = [0.5, 1, 1]\nout = [2]\n'
CUT = {
    "unit": "mm", "kerf": 3.2, "end_trim": 10,
    "at_hand": [{"name": "A", "length": 2400, "price": 9.9, "how_many": None}, {"name": "B", "length": 1800, "price": 7,
                "how_many": 3}],
    "wanted": [{"name": "p1", "length": 675, "how_many": 4}, {"name": "p2", "length": 412.5, "how_many": 2}],
}  # fmt: skip
LAY = {
    "unit": "mm", "roll_width": 2100, "spacing": 5, "any_cut": False,
    "wanted": [{"name": "s1", "across": 1360, "along": 960, "how_many": 2, "may_turn": True},
               {"name": "s2", "across": 500, "along": "2 ft"}],
}  # fmt: skip
CALLS = (
    ["square", "--bottom", "1200", "--left", "900", "--rising", "1500", "--falling", "1501"],
    [
        "square",
        "--bottom",
        "47 1/4 in",
        "--left",
        "36",
        "--rising",
        "60",
        "--falling",
        "60",
        "--unit",
        "in",
        "--json",
    ],
    ["wind", "--width", "1200", "--height", "900", "--lift", "4", "--corner", "top left", "--glue", "set"],
    ["wind", "--width", "4 ft", "--height", "3 ft", "--lift", "1/8", "--unit", "in", "--json"],
)
SMALL = '[[work]]\nname = "a"\nwidth = 500\nheight = 400\n'


class TooSlowError(Exception):
    """An input took too long."""


@dataclass
class Report:
    """What an attack found.

    Attributes:
        read: How many inputs of each kind.
        refused: How many of them were refused with a message.
        slowest: Longest time of one of each kind. [s]
        fell: Kind, seed and traceback of what fell.
    """

    read: Counter[str] = field(default_factory=Counter)
    refused: Counter[str] = field(default_factory=Counter)
    slowest: dict[str, float] = field(default_factory=dict)
    fell: list[tuple[str, int, str]] = field(default_factory=list)


def batch_texts() -> tuple[str, ...]:
    """Every batch that travels with the program, and the starters."""
    files = sorted((ROOT / "examples").glob("*.toml"))
    texts = [
        path.read_text(encoding="utf-8")
        for path in files
        if not path.name.startswith("replan-") and path.stat().st_size < 12_000
    ]
    return (*texts, starter_text(whole=True), starter_text(Answers(unit="in"), whole=True))


@cache
def _batches() -> tuple[str, ...]:
    return batch_texts()


@cache
def _events_texts() -> tuple[str, ...]:
    return (EVENTS_STARTER, (ROOT / "examples" / "replan-winter-show.toml").read_text(encoding="utf-8"))


@cache
def _plan() -> Any:
    return json.loads(plan_json(plan_batch(parse_batch(SMALL), choose=design_of)))


def _batch(luck: random.Random) -> None:
    _said(read_batch_text(changed_toml(luck.choice(_batches()), luck)).faults)


def _against(luck: random.Random) -> None:
    found = read_batch_text(changed_toml(luck.choice(_batches()), luck))
    if found.stated is not None and not found.faults:
        _said(faults_against(found.stated, briefs_of(found.stated)))


def _batch_bytes(luck: random.Random) -> None:
    _said(read_batch_text(changed_bytes(luck.choice(_batches()).encode(), luck)).faults)


def _events(luck: random.Random) -> None:
    _said(read_text(Events, changed_toml(luck.choice(_events_texts()), luck)).faults)


def _order(luck: random.Random) -> None:
    _said(read_text(OrderWish, changed_toml(ORDER, luck)).faults)


def _old_plan(luck: random.Random) -> None:
    read_old_plan(json_text(changed_json(_plan(), luck)), file="plan.json")


def _old_plan_bytes(luck: random.Random) -> None:
    read_old_plan(changed_bytes(json_text(_plan()).encode(), luck), file="plan.json")


def _cut(luck: random.Random) -> None:
    cut_list(parse_cut_list(json_text(changed_json(CUT, luck))))


def _lay(luck: random.Random) -> None:
    read_lay_list(changed_json(LAY, luck))


def _call(luck: random.Random) -> None:
    from longpoint.cli import entry

    words = changed_words(list(luck.choice(CALLS)), luck)
    before = sys.argv
    said = io.TextIOWrapper(io.BytesIO(), "utf-8", errors="backslashreplace")
    sys.argv = ["longpoint", *words]
    try:
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            code = entry._run()
    finally:
        sys.argv = before
    assert code in (0, 1, 2), code


def _said(faults: Any) -> None:
    """Every fault can be told, and tells what to do."""
    for fault in faults:
        assert fault.what and fault.remedy, fault
        assert len(str(fault)) < 5000, fault.code


KINDS: dict[str, tuple[Callable[[random.Random], None], int]] = {
    "batch": (_batch, 400),
    "batch, against": (_against, 1),
    "batch, bytes": (_batch_bytes, 400),
    "events": (_events, 600),
    "order": (_order, 600),
    "plan.json": (_old_plan, 10),
    "plan.json, bytes": (_old_plan_bytes, 40),
    "cut": (_cut, 400),
    "lay": (_lay, 600),
    "call": (_call, 5),
}
"""What is attacked, and how often in each round: what is quick more often."""


@contextlib.contextmanager
def _guarded() -> Iterator[None]:
    def too_slow(_number: int, _frame: object) -> None:
        raise TooSlowError

    before = signal.signal(signal.SIGVTALRM, too_slow)
    signal.setitimer(signal.ITIMER_VIRTUAL, MOST_SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


def one(kind: str, seed: int, report: Report) -> None:
    """Reads one mutated input and keeps what became of it."""
    luck = random.Random(f"{kind} {seed}")
    begun = time.process_time()
    report.read[kind] += 1
    try:
        with _guarded():
            KINDS[kind][0](luck)
    except LongpointError as error:
        report.refused[kind] += 1
        if len(str(error)) > 60_000:
            report.fell.append((kind, seed, "a message of 60 000 letters"))
    except BaseException as error:
        if isinstance(error, KeyboardInterrupt):
            raise
        report.fell.append((kind, seed, traceback.format_exc(limit=-4)))
    report.slowest[kind] = max(report.slowest.get(kind, 0.0), time.process_time() - begun)


def main() -> int:
    """Attacks for some time and says what was found."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 3600.0
    seed = first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    resource.setrlimit(resource.RLIMIT_DATA, (2 << 30, 2 << 30))
    report = Report()
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        for kind, (_, often) in KINDS.items():
            for _ in range(often):
                one(kind, seed, report)
                seed += 1
    print(
        f"seeds {first} to {seed - 1}, {seconds:.0f} s, {sum(report.read.values())} inputs, {len(report.fell)} fell"
    )
    for kind, count in report.read.items():
        print(
            f"  {kind:<18} {count:>8}  refused {report.refused[kind]:>8}  slowest {report.slowest[kind]:.2f} s"
        )
    for kind, fell_at, why in report.fell[:20]:
        print(f"--- {kind}, seed {fell_at}\n{why}")
    return 1 if report.fell else 0


if __name__ == "__main__":
    sys.exit(main())
