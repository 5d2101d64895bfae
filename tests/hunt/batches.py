"""Ordinary batches as strangers would write them, and how each one ends.

Every number draws one batch: units, papers, languages, one to three sections on sale in one to four lengths, one to
twelve works of 200 to 3000 mm, with and without screws, cloth, boards at hand and prices. A batch must end in a
printed plan, or in faults that name what to buy; nothing may be said of drawings, and nothing may fall over.

    python tests/hunt/batches.py 0 500          # a table of how they end, the slowest, and what was refused
    python tests/hunt/batches.py --show 17      # the text of one
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
import tomllib
from collections import Counter
from collections.abc import Iterable, Sequence
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from fractions import Fraction
from io import StringIO
from pathlib import Path
from typing import TypeVar

from hunt.kinds import Checked, Kind, register

Item = TypeVar("Item")

METRIC_SECTIONS = (
    (18, 44), (20, 45), (21, 45), (21, 70), (24, 48), (28, 45), (18, 70), (19, 38), (27, 44), (34, 45), (20, 60),
    (30, 50), (15, 40), (44, 44), (18, 94),
)  # fmt: skip
"""Planed sections that a stranger finds in a shop. [mm]"""

INCH_SECTIONS = (
    ("1x2", "3/4", "1 1/2"), ("1x3", "3/4", "2 1/2"), ("2x2", "1 1/2", "1 1/2"), ("1x4", "3/4", "3 1/2"),
    ("2x3", "1 1/2", "2 1/2"),
)  # fmt: skip
METRIC_LENGTHS = (1800, 2100, 2400, 2700, 3000, 3600, 4200, 4800, 5400)
INCH_LENGTHS = ("6 ft", "8 ft", "10 ft", "12 ft", "16 ft")
METRIC_SCREWS = (
    (3, 25),
    (3.5, 30),
    (3.5, 35),
    (3.5, 40),
    (4, 40),
    (4, 50),
    (4, 60),
    (4, 70),
    (5, 80),
    (5, 100),
)
INCH_SCREWS = ((6, "1 1/4"), (6, "1 5/8"), (8, "1 1/4"), (8, "1 1/2"), (8, "2"), (8, "2 1/2"), (10, "3"))
WOODS = ("C16", "C24", "Scots pine", "Norway spruce", "Eastern white pine")
WORDS = ("Harbour", "Kitchen window", "Portrait, unfinished", "No. 4", "Weiher im März", "Large red", "Study")

NAMES_WHAT_TO_BUY = ("[[", "board", "buy", "on sale", "roll", "screw", "section", "timber", "wide")
"""One of these stands in every refusal that may be: it speaks of what is to be had."""

NEVER_SAID = ("drawing", "traceback", "sheet has room")


class Dice:
    """Random choices that stay the same for a number: only `random.Random.random` is promised to."""

    def __init__(self, number: int) -> None:
        self._rng = random.Random(number)

    def below(self, count: int) -> int:
        return int(self._rng.random() * count)

    def one(self, items: Sequence[Item]) -> Item:
        return items[self.below(len(items))]

    def some(self, items: Sequence[Item], count: int) -> list[Item]:
        left = list(range(len(items)))
        taken = sorted(left.pop(self.below(len(left))) for _ in range(min(count, len(items))))
        return [items[index] for index in taken]

    def often(self, share: float) -> bool:
        return self._rng.random() < share

    def between(self, low: float, high: float) -> float:
        return low + (high - low) * self._rng.random()


def batch_text(number: int) -> str:
    """The text of an ordinary batch file."""
    dice = Dice(number)
    unit = dice.one(("mm", "mm", "mm", "cm", "cm", "m", "in", "in", "in"))
    inches = unit == "in"
    show = {"m": dice.one(("mm", "cm"))}.get(unit, unit)
    lines = [f'title = "{dice.one(WORDS)} {number}"']
    if unit != "mm" or dice.often(0.5):
        lines.append(f'unit = "{unit}"')
    if not inches or dice.often(0.7):
        lines.append(f'show = "{show}"')
    if dice.often(0.7):
        paper = dice.one(("Letter", "Letter", "A4")) if inches else dice.one(("A4", "A4", "A4", "Letter"))
        lines.append(f'paper = "{paper}"')
    if dice.often(0.3):
        lines.append('language = "de"')
    sections = _sections(dice, inches=inches)
    wishes = _wishes(dice, sections, unit)
    works, smallest = _works(dice, unit)
    if smallest < 600:  # nobody puts a rail into so small a face
        wishes = [line for line in wishes if not line.startswith("cross_rails")]
    lines += [*wishes, *works]
    lines += _yard(dice, sections, unit)
    lines += _sundries(dice, unit)
    return "\n".join(lines) + "\n"


def _length(value: float, unit: str) -> str:
    """A metric length as it is written in the file's unit."""
    per = {"mm": 1, "cm": 10, "m": 1000}[unit]
    exact = Fraction(str(value)) / per
    return f"{float(exact):g}"


def _sections(dice: Dice, *, inches: bool) -> list[tuple[str, str | int, str | int]]:
    count = dice.one((1, 1, 1, 2, 2, 3))
    if inches:
        return list(dice.some(INCH_SECTIONS, count))
    return [(f"{thin} x {deep}", thin, deep) for thin, deep in dice.some(METRIC_SECTIONS, count)]


def _written(side: str | int, unit: str) -> str:
    return f'"{side}"' if isinstance(side, str) else _length(side, unit)


def _wishes(dice: Dice, sections: Sequence[tuple[str, str | int, str | int]], unit: str) -> list[str]:
    bars: list[str] = []
    if dice.often(0.45):
        bars.append(f"depth = {_written(dice.one(sections)[2], unit)}")
    if dice.often(0.3):
        bars.append(
            f'corner = "{dice.one(("mitre", "mitre with gusset", "mitre with glue block", "half-lap"))}"'
        )
    if dice.often(0.08):
        bars.append('stand = "flat"')
    inside: list[str] = []
    if dice.often(0.12):
        inside.append(f"cross_rails = {dice.below(3)}")
    if dice.often(0.08):
        inside.append(f'end_rails = "{dice.one(("none", "short sides", "string sides"))}"')
    cloth: list[str] = []
    if dice.often(0.1):
        cloth.append("may_turn = true")
    if dice.often(0.1):
        cloth.append('fasten = "side"')
    found: list[str] = []
    for name, keys in (("bars", bars), ("inside", inside), ("cloth", cloth)):
        if keys:
            found += [f"[{name}]", *keys]
    return found


def _side(dice: Dice) -> float:
    """A side of a work: small and middling ones are commoner than large ones. [mm]"""
    return 200 * (3000 / 200) ** dice.between(0, 1)


def _works(dice: Dice, unit: str) -> tuple[list[str], float]:
    """The works, and the smallest side of any of them. [mm]"""
    lines = []
    smallest = 3000.0
    for index in range(dice.one((1, 1, 1, 1, 2, 2, 2, 3, 4, 6, 9, 12))):
        width = _side(dice)
        height = min(3000.0, max(200.0, width * dice.between(0.6, 1.6)))
        smallest = min(smallest, width, height)
        step = 25.4 if unit == "in" else 10
        sides = [round(side / step) for side in (width, height)]
        shown = [str(side) if unit == "in" else _length(side * 10, unit) for side in sides]
        lines += ["[[work]]", f'name = "{dice.one(WORDS)} {chr(65 + index)}"']
        lines += [f"width = {shown[0]}", f"height = {shown[1]}"]
        if dice.often(0.25):
            lines.append(f"how_many = {2 + dice.below(2 if max(width, height) > 1500 else 5)}")
    return lines, smallest


def _yard(dice: Dice, sections: Sequence[tuple[str, str | int, str | int]], unit: str) -> list[str]:
    lines: list[str] = []
    if dice.often(0.12):  # nothing stated: the program's own ordinary yard
        return lines
    inches = unit == "in"
    priced = dice.often(0.6)
    wood = dice.one(WOODS)
    for index, (name, thin, deep) in enumerate(sections):
        sides = (deep, thin) if dice.often(0.08) else (thin, deep)
        lines += ["[[yard]]", f'name = "{name}"', f'timber = "{wood}"']
        lines += [f"thickness = {_written(sides[0], unit)}", f"depth = {_written(sides[1], unit)}"]
        if len(sections) > 1 and dice.often(0.3):
            lines.append(f'serves = ["{("bars", "rails")[min(index, 1)]}"]')
        lengths = dice.some(INCH_LENGTHS if inches else METRIC_LENGTHS, dice.one((1, 1, 2, 2, 3, 4)))
        shown = [f'"{one}"' if isinstance(one, str) else _length(one, unit) for one in lengths]
        price = round(dice.between(0.8, 4.5), 2)
        if priced and dice.often(0.5):
            many = ", how_many = 6" if dice.often(0.1) else ""
            costs = [
                f"{{ length = {one}, price = {price * (2 + at):.2f}{many} }}" for at, one in enumerate(shown)
            ]
            lines.append(f"lengths = [{', '.join(costs)}]")
        else:
            lines.append(f"lengths = [{', '.join(shown)}]")
            if priced:
                lines.append(f"{'per_foot' if inches else 'per_metre'} = {price:.2f}")
    for index in range(dice.one((1, 2, 3)) if dice.often(0.2) else 0):
        _, thin, deep = dice.one(sections)
        lines += ["[[rack]]", f'name = "left {index + 1}"']
        lines += [f"thickness = {_written(thin, unit)}", f"depth = {_written(deep, unit)}"]
        length = round(dice.between(600, 2400) / 10) * 10
        lines.append(f"length = {round(length / 25.4) if inches else _length(length, unit)}")
    return lines


def _sundries(dice: Dice, unit: str) -> list[str]:
    inches = unit == "in"
    lines: list[str] = []
    if dice.often(0.5):
        width = dice.one((54, 60, 72, 84, 120)) if inches else dice.one((1400, 1600, 1800, 2100, 2200, 3000))
        lines += ["[[roll]]", 'name = "duck"', f"width = {width if inches else _length(width, unit)}"]
        lines.append(
            f'mass = "{dice.one((8, 10, 12))} oz/yd2"' if inches else f"mass = {dice.one((280, 340, 400))}"
        )
        if dice.often(0.5):
            lines.append(f"{'per_yard' if inches else 'per_metre'} = {dice.between(6, 24):.2f}")
        if dice.often(0.15):
            lines.append('state = "primed"')
    if dice.often(0.35):
        if inches:
            kinds = [(f"gauge = {no}", f'"{long}"') for no, long in dice.some(INCH_SCREWS, 1 + dice.below(4))]
        else:
            some = dice.some(METRIC_SCREWS, 1 + dice.below(4))
            kinds = [(f'diameter = "{thick} mm"', f'"{long} mm"') for thick, long in some]
        for measure, long in kinds:
            lines += ["[[screw]]", measure, f"length = {long}"]
    return lines


@dataclass(frozen=True, slots=True)
class Ending:
    """How one batch ended.

    Attributes:
        number: Of the batch.
        way: "printed", "refused" or "fell over".
        codes: Of the faults.
        words: What was said.
        seconds: How long it took.
    """

    number: int
    way: str
    codes: tuple[str, ...]
    words: str
    seconds: float

    @property
    def is_fair(self) -> bool:
        """Whether it is a printed plan, or a refusal that names what to buy and speaks of no drawing."""
        low = self.words.lower()
        if self.way == "refused":
            return any(word in low for word in NAMES_WHAT_TO_BUY) and not any(
                word in low for word in NEVER_SAID
            )
        return self.way == "printed"


def ending_of(number: int, *, text: str = "", by_rule: bool = False) -> Ending:
    """Plans and prints one batch in a temporary folder, as the command does."""
    from longpoint.cli.plan import plan
    from longpoint.errors import FaultsError

    began = time.perf_counter()
    written = text or batch_text(number)
    tomllib.loads(written)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "batch.toml"
        file.write_text(written, encoding="utf-8")
        out = Path(folder) / "out"
        try:
            with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
                plan(file, out, by_rule=by_rule, unrehearsed=True)
        except FaultsError as error:
            said = "\n".join(f"{fault.what} {fault.remedy}" for fault in error.faults)
            codes = tuple(sorted({fault.code for fault in error.faults}))
            return Ending(number, "refused", codes, said, time.perf_counter() - began)
        except Exception as error:  # whatever falls over is what is hunted
            name = type(error).__name__
            return Ending(number, "fell over", (name,), f"{name}: {error}", time.perf_counter() - began)
        sheets = list(out.glob("*.pdf"))
        way = "printed" if sheets and all(sheet.stat().st_size > 10_000 for sheet in sheets) else "fell over"
    return Ending(number, way, (), "", time.perf_counter() - began)


def small_text(number: int) -> str:
    """The text of an ordinary batch of at most two works, three pieces in all: quick to plan."""
    for draw in range(1000 * number, 1000 * number + 1000):
        text = batch_text(draw)
        works = tomllib.loads(text)["work"]
        if sum(work.get("how_many", 1) for work in works) <= 3 and len(works) <= 2:
            return text
    msg = f"no small batch among a thousand from {1000 * number}"
    raise AssertionError(msg)


def check_batch(number: int) -> Checked:
    """Plans and prints one, its designs computed."""
    return _checked(ending_of(number))


def check_small(number: int) -> Checked:
    """Plans and prints a small one, its rails by the rule of thumb."""
    return _checked(ending_of(number, text=small_text(number), by_rule=True))


def _checked(ending: Ending) -> Checked:
    wrong = () if ending.is_fair else (f"{ending.way}: {ending.words or 'no sheets'}",)
    return Checked(wrong, (ending.way, *ending.codes))


register(Kind("batches", batch_text, check_batch, 0))
register(Kind("batches-small", small_text, check_small, 5))


def told(endings: Iterable[Ending]) -> str:
    """A table of endings: how many of each, what was refused, the slowest."""
    every = list(endings)
    ways = Counter(one.way for one in every)
    lines = [f"{len(every)} batches: " + ", ".join(f"{count} {way}" for way, count in sorted(ways.items()))]
    lines += [
        f"  {one.number}: {one.way} {', '.join(one.codes)}\n    {one.words}" for one in every if one.words
    ]
    codes = Counter(code for one in every for code in one.codes)
    lines += [f"  {count} × {code}" for code, count in codes.most_common()]
    slowest = max(every, key=lambda one: one.seconds, default=None)
    if slowest is not None:
        lines.append(f"slowest: {slowest.number}, {slowest.seconds:.0f} s")
    return "\n".join(lines)


def main(words: Sequence[str]) -> None:
    """Hunts from the command line."""
    if words[:1] == ["--show"]:
        print(batch_text(int(words[1])))
        return
    by_rule = "--by-rule" in words
    first, count = (int(word) for word in words if not word.startswith("--"))
    endings = []
    for number in range(first, first + count):
        endings.append(ending_of(number, by_rule=by_rule))
        one = endings[-1]
        sys.stderr.write(f"{number}: {one.way} {', '.join(one.codes)} {one.seconds:.0f} s\n")
    print(told(endings))


if __name__ == "__main__":
    main(sys.argv[1:])
