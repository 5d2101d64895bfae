"""The choice of a design against brute force: every design of small yards judged in full, random works and limits.

Flat rails among them. ``python tests/hunt/run.py --kind choices`` goes on from seed to seed.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from hunt.kinds import Checked, Kind, register
from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.bench import Bench
from longpoint.choosing.candidates import Buildable, candidates_of
from longpoint.choosing.chooser import ComputedChooser
from longpoint.errors import FaultsError
from longpoint.model.batch import Batch
from longpoint.strength.choice import Candidate, all_hold
from longpoint.works.brief import briefs_of

BARS = ((18, 44), (21, 44), (28, 44), (24, 48), (19, 38), (21, 70))
RAILS = ((21, 28), (19, 25), (18, 44), (28, 28))


@dataclass(frozen=True, slots=True)
class Compared:
    """What the choice and brute force say of one work.

    Attributes:
        words: The work in a line.
        chosen: Cost of the chosen design; None where the choice says that nothing holds.
        cheapest: Cost of the cheapest that holds of all; None where none does.
        designs: How many there are.
    """

    words: str
    chosen: float | None
    cheapest: float | None
    designs: int

    @property
    def agrees(self) -> bool:
        """Whether both say the same."""
        if self.chosen is None or self.cheapest is None:
            return self.chosen is self.cheapest
        return abs(self.chosen - self.cheapest) <= 1e-6 * max(self.cheapest, 1.0)


def work_of(seed: int, *, largest: int = 1500) -> Batch:
    """A random work with one or two sections on sale and, half of the time, a limit of its own."""
    draw = random.Random(seed)
    bars = draw.choice(BARS)
    yard: list[dict[str, Any]] = [
        {"name": "bar", "thickness": bars[0], "depth": bars[1], "per_metre": "2.5", "lengths": (3000,)}
    ]
    if draw.random() < 0.5:
        rail = draw.choice(RAILS)
        yard[0]["serves"] = ("bars",)
        yard.append(
            {"name": "rail", "thickness": rail[0], "depth": rail[1], "per_metre": "1.6", "lengths": (3000,)}
            | {"serves": ("rails",)}
        )
    limits: dict[str, Any] = {}
    if draw.random() < 0.5:
        key, values = draw.choice(
            (
                ("winding_factor", (4, 8, 14)),
                ("touch", (3, 4, 6)),
                ("pulled_in", (0.4, 0.8, 3)),
                ("hollow", (0.5, 1)),
                ("turning_in", (0.7, 1)),
            )
        )
        limits[key] = draw.choice(values)
    height = draw.randrange(300, largest, 50)
    width = draw.randrange(300, largest, 50)
    work = {"name": f"work {seed}", "width": width, "height": height}
    return Batch(work=(work,), yard=tuple(yard), limits=limits, bars={"depth": bars[1]}, currency="EUR")


def cheapest_that_holds(bench: Bench, candidates: Sequence[Candidate[Buildable]]) -> float | None:
    """Cost of the cheapest design that holds and goes together: each solved, and judged in full if that keeps it.

    What one solve tells is among the verdicts of the full judgement, so a design that it throws out is out.
    """
    for candidate in sorted(candidates, key=lambda one: (one.cost, one.name)):
        first, broken = bench.look(candidate)
        if broken or not all_hold(first):
            continue
        try:
            verdicts = bench.judge(candidate)
        except FaultsError:
            continue
        if all_hold(verdicts) and bench.goes_together(candidate):
            return candidate.cost
    return None


def compared(batch: Batch) -> Compared:
    """The choice, as stated, beside the cheapest of all designs judged in full, no bound and no early end."""
    batch = batch.model_copy(update={"as_stated": True})
    found = ComputedChooser()(briefs_of(batch)[0])
    held = isinstance(found, ChosenDesign) and found.strength.passes
    chosen = found.strength.price.measure if held and isinstance(found, ChosenDesign) else None
    bench = Bench(briefs_of(batch)[0])
    candidates, _ = candidates_of(briefs_of(batch)[0])
    cheapest = cheapest_that_holds(bench, candidates)
    work = batch.work[0]
    timber = ", ".join(f"{float(t.thickness):g} x {float(t.depth):g}" for t in batch.yard)
    said = batch.limits.model_dump(exclude_unset=True)
    return Compared(
        f"{float(work.width):g} x {float(work.height):g} of {timber}, limits {said or 'usual'}",
        chosen,
        cheapest,
        len(candidates),
    )


def write(seed: int) -> str:
    """The work of a seed as text."""
    return work_of(seed).model_dump_json(exclude_unset=True)


def check(seed: int) -> Checked:
    """Whether brute force says the same of the work of a seed as the choice."""
    result = compared(work_of(seed))
    counts = ("holds" if result.cheapest is not None else "nothing holds",)
    if result.agrees:
        return Checked((), counts)
    said = f"chosen at {result.chosen}, the cheapest of {result.designs} that holds costs {result.cheapest}"
    return Checked((f"{result.words}: {said}",), counts)


register(Kind(name="choices", write=write, check=check, quick=2))
