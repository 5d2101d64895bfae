"""What was measured here, as robust estimates: the median, the middle half, and of how many.

They become defaults only where that is asked for, never where the batch states a value, and always with their number.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from sqlalchemy import func, select

from longpoint.model.batch import Batch as Stated
from longpoint.store.book.document import batch_of, works_of
from longpoint.store.book.plans import begun
from longpoint.store.book.values import UNITS, planned_of
from longpoint.store.opening import Desk
from longpoint.store.tables import Copy, Item, Measured

LEAST = 3
"""Fewer values are shown and not used. Estimate: with three the median is no longer a single reading."""


@dataclass(frozen=True, slots=True)
class Learned:
    """An estimate from values measured here.

    Attributes:
        what: What was measured.
        about: Of which work, cloth or timber; "" for all.
        median: The middle value.
        low: A quarter of the values lie below.
        high: A quarter lie above.
        count: How many values.
        unit: Of the values.
        planned: Median of what plans said of the same; None where they said nothing.
    """

    what: str
    about: str
    median: float
    low: float
    high: float
    count: int
    unit: str
    planned: float | None = None

    @property
    def is_enough(self) -> bool:
        """Whether it may be used."""
        return self.count >= LEAST

    @property
    def words(self) -> str:
        """As it is always shown."""
        unit = f" {self.unit}" if self.unit else ""
        return (
            f"{self.what}{f' of {self.about}' if self.about else ''}: {figure(self.median)}{unit} "
            f"({figure(self.low)} to {figure(self.high)}), measured here, n = {self.count}"
        )


def figure(value: float) -> str:
    """A value in four digits, or whole where it is larger."""
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.4g}"


def estimate(what: str, about: str, values: Sequence[float], *, planned: Iterable[float] = ()) -> Learned:
    """The median of values, with the quartiles that hold the middle half.

    Args:
        what: What was measured.
        about: Of which work, cloth or timber.
        values: At least one.
        planned: What plans said.
    """
    low, high = (values[0],) * 2 if len(values) == 1 else (_quartile(values, 0.25), _quartile(values, 0.75))
    told = list(planned)
    return Learned(
        what, about, statistics.median(values), low, high, len(values), UNITS.get(what, ""),
        statistics.median(told) if told else None,
    )  # fmt: skip


def _quartile(values: Sequence[float], share: float) -> float:
    """Linear between the values beside it (Hyndman & Fan 1996, definition 7)."""
    ordered = sorted(values)
    at = share * (len(ordered) - 1)
    below = int(at)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (at - below) * (ordered[above] - ordered[below])


def learned(desk: Desk) -> list[Learned]:
    """Everything that was learned: per copy over all works, per cloth, per timber and yard."""
    found: list[Learned] = []
    newest = (
        select(func.max(Measured.id))
        .where(Measured.copy_id.is_not(None))
        .group_by(Measured.copy_id, Measured.what)
    )
    groups: dict[str, list[Measured]] = {}
    for row in desk.session.scalars(select(Measured).where(Measured.id.in_(newest)).order_by(Measured.id)):
        if row.what.startswith("hours") or row.what in ("staples", "glue", "mass"):
            groups.setdefault(row.what, []).append(row)
    for what, rows in sorted(groups.items()):
        planned = [row.planned for row in rows if row.planned is not None]
        found.append(estimate(what, "", [row.value for row in rows], planned=planned))
    abouts: dict[tuple[str, str], list[float]] = {}
    for row in desk.session.scalars(select(Measured).where(Measured.about != "").order_by(Measured.id)):
        abouts.setdefault((row.what, row.about), []).append(row.value)
    for (what, about), values in sorted(abouts.items()):
        found.append(estimate(what, about, values))
    return [*found, *_bends(desk)]


def _bends(desk: Desk) -> list[Learned]:
    """Bow and crook of boards by timber and yard, for a metre of length."""
    groups: dict[tuple[str, str], list[float]] = {}
    for item in desk.session.scalars(select(Item).where(Item.kind == "board")):
        for what in ("bow", "crook"):
            if item.facts.get(what) is not None:
                about = f"{item.timber}{f', {item.name}' if item.name else ''}"
                length = float(item.facts["length"]) / 1000
                # bend grows with the square of length: a metre of a board has so much of it
                groups.setdefault((what, about), []).append(float(item.facts[what]) / length**2)
    return [estimate(what, about, values) for (what, about), values in sorted(groups.items())]


FACTORS = {
    "saw": ("hours saw",),
    "build": ("hours build", "hours join"),
    "stretch": ("hours stretch",),
    "coat": ("hours coat",),
    "glue": ("glue",),
    "staples": ("staples",),
}
"""Keys of ``[shop.factors]``, and what is measured of a copy for them."""


def factors_measured(desk: Desk) -> dict[str, Learned]:
    """What was measured of copies over what the tables estimate of them, by key of ``[shop.factors]``.

    A plan that was made with factors already is held against its estimate without them, so that what was learned
    once is not learned again on top.
    """
    found: dict[str, Learned] = {}
    for key, measures in FACTORS.items():
        newest = select(func.max(Measured.id)).where(Measured.what.in_(measures)).group_by(Measured.copy_id)
        asked = (
            select(Measured.value, Copy.batch_id, Copy.work)
            .join(Copy, Measured.copy_id == Copy.id)
            .where(Measured.id.in_(newest))
            .order_by(Measured.id)
        )
        ratios = []
        for value, batch, name in desk.session.execute(asked):
            estimated = _estimated(desk, batch, name, key)
            if estimated:
                ratios.append(value / estimated)
        if ratios:
            found[key] = estimate(f"{key} over estimated", "", ratios)
    return found


def _estimated(desk: Desk, batch: int, name: str, key: str) -> float:
    """What the tables say of one copy; 0 where the shop states its own time."""
    said = begun(desk, batch)
    if said is None:
        return 0.0
    work = next((one for one in works_of(said) if one.name == name), None)
    if work is None:
        return 0.0
    planned = planned_of(work, FACTORS[key][0]).likely or 0.0
    if key in ("glue", "staples"):
        return planned
    if not work.estimated.get(key, False):
        return 0.0
    return planned / (batch_of(said).get("shop", {}).get("factors", {}).get(key) or 1.0)


@dataclass(frozen=True, slots=True)
class Used:
    """A learned value that a batch is planned with.

    Attributes:
        where: Where it stands in the batch.
        learned: The estimate.
        value: What was written there.
    """

    where: str
    learned: Learned
    value: str


def with_learned(desk: Desk, stated: Stated) -> tuple[Stated, tuple[Used, ...]]:
    """A batch with what was measured here where it states nothing.

    Rolls without ``stiffness`` get that of the cloth named like them (or like the rack's roll they are), raw ones
    without ``water_tension`` theirs: as it was measured, else shrinkage times stiffness, which is the straight line of
    two strips; boards of the rack without bow or crook that of their timber and yard, or of their timber; the shop's
    factors what was measured over what is estimated.

    Args:
        desk: A transaction.
        stated: The batch.

    Returns:
        The batch, and every value that came from here.
    """
    known = {(one.what, one.about): one for one in learned(desk) if one.is_enough}
    items = {item.label: item for item in desk.session.scalars(select(Item).where(Item.amount > 0))}
    used: list[Used] = []
    rolls: list[Any] = []
    for number, roll in enumerate(stated.roll, start=1):
        item = items.get(roll.name)
        name = str(item.facts.get("cloth", "")) if item is not None and item.kind == "roll" else ""
        told: dict[str, float] = {}
        for key, one in (
            ("stiffness", known.get(("stiffness", name or roll.name))),
            ("water_tension", _pull(known, name or roll.name) if roll.state == "raw" else None),
        ):
            if one is not None and getattr(roll, key) is None:
                told[key] = round(one.median, 1)
                used.append(Used(f"roll[{number}].{key}", one, f"{told[key]:.12g}"))
        rolls.append(roll.model_copy(update=told) if told else roll)
    boards: list[Any] = []
    for number, board in enumerate(stated.rack, start=1):
        item = items.get(board.name)
        yard = item.name if item is not None else ""
        bends: dict[str, Fraction] = {}
        for what in ("bow", "crook"):
            one = known.get((what, f"{board.timber}, {yard}")) or known.get((what, board.timber))
            if one is not None and getattr(board, what) is None:
                bend = round(one.median * (float(board.length) / 1000) ** 2, 1)
                bends[what] = Fraction(str(bend))
                used.append(Used(f"rack[{number}].{what}", one, f"{bend:g}"))
        boards.append(board.model_copy(update=bends) if bends else board)
    factors: dict[str, float] = {}
    for key, one in factors_measured(desk).items():
        if one.is_enough and getattr(stated.shop.factors, key) is None:
            factors[key] = round(min(max(one.median, 0.05), 20.0), 2)
            used.append(Used(f"shop.factors.{key}", one, f"{factors[key]:g}"))
    update: dict[str, Any] = {"roll": tuple(rolls), "rack": tuple(boards)}
    if factors:
        shop = stated.shop
        update["shop"] = shop.model_copy(update={"factors": shop.factors.model_copy(update=factors)})
    return (stated.model_copy(update=update) if used else stated), tuple(used)


def _pull(known: Mapping[tuple[str, str], Learned], cloth: str) -> Learned | None:
    """What a raw cloth pulls once it is dry: measured, else what keeps it from shrinking."""
    found = known.get(("water tension", cloth))
    shrinks, stiff = known.get(("shrinkage", cloth)), known.get(("stiffness", cloth))
    if found is not None or shrinks is None or stiff is None:
        return found
    low, median, high = (
        getattr(shrinks, which) * getattr(stiff, which) for which in ("low", "median", "high")
    )
    return (
        Learned("water tension", cloth, median, low, high, min(shrinks.count, stiff.count), "N/m")
        if median > 0
        else None
    )
