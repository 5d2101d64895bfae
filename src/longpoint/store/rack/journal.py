"""What an event makes of a thing in the rack: pure arithmetic, the same when it happens and when a day is rebuilt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

Happened = Literal["receipt", "taking", "return", "count", "correction", "reservation", "release"]

WHOLE = ("board", "offcut")
"""Kinds of which there is one or none."""


class CannotError(Exception):
    """An event that cannot be, in the rack as it is; its text says why."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What there is of one thing.

    Attributes:
        kind: Its kind.
        amount: How much, in its unit.
        kept: How much of that is kept for each plan, by the plan's number in the store.
        facts: What is stated of it.
    """

    kind: str
    amount: int
    kept: Mapping[int, int] = field(default_factory=dict)
    facts: Mapping[str, Any] = field(default_factory=dict)

    @property
    def reserved(self) -> int:
        """How much is kept for plans."""
        return sum(self.kept.values())

    @property
    def free(self) -> int:
        """How much nobody has a claim on."""
        return self.amount - self.reserved


def after(
    before: Standing | None,
    happened: str,
    amount: int,
    *,
    kind: str = "",
    plan: int | None = None,
    facts: Mapping[str, Any] | None = None,
) -> Standing:
    """What there is after an event.

    Args:
        before: What there was; None for a thing that just comes.
        happened: What happened, see `Happened`.
        amount: How much, in the thing's unit; of a count, what was there.
        kind: Of a thing that just comes.
        plan: For which plan.
        facts: Of a receipt all, of a correction what is other; None in it takes a fact away.

    Raises:
        CannotError: If there is not that much, or it is kept for another plan.
    """
    facts = facts or {}
    if amount < 0:
        raise CannotError("less than nothing cannot be moved")
    if before is None:
        if happened != "receipt":
            raise CannotError("it never came into the rack")
        return Standing(kind, amount, {}, dict(facts))
    kept = dict(before.kept)
    there = before.amount
    match happened:
        case "receipt" | "return":
            if before.kind in WHOLE and there + amount > 1:
                raise CannotError("it lies in the rack already")
            there += amount
        case "taking":
            mine = kept.get(plan, 0) if plan is not None else 0
            if amount > before.free + mine:
                raise CannotError(_why_not(before))
            there -= amount
            if plan is not None and mine:
                kept[plan] = mine - min(mine, amount)
        case "count":
            if before.kind in WHOLE and amount > 1:
                raise CannotError("there is only one of it")
            if amount < before.reserved:
                raise CannotError("more of it is kept for plans than was counted")
            there = amount
        case "correction":
            changed = {**before.facts, **facts}
            now = {key: value for key, value in changed.items() if value is not None}
            return Standing(before.kind, there, kept, now)
        case "reservation":
            if plan is None or amount == 0 or amount > before.free:
                raise CannotError(_why_not(before))
            kept[plan] = kept.get(plan, 0) + amount
        case "release":
            if plan is None or amount > kept.get(plan, 0):
                raise CannotError("so much is not kept for that plan")
            kept[plan] -= amount
        case _:
            raise CannotError(f"{happened} is not known")
    return Standing(before.kind, there, {who: much for who, much in kept.items() if much}, before.facts)


def _why_not(before: Standing) -> str:
    if before.amount == 0:
        return "it is no longer in the rack"
    return "it is kept for a plan" if before.reserved else "there is not so much of it"
