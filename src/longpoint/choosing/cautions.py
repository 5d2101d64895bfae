"""What a person should know of a computed design, as facts: the words of the sheets say them."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.choosing.answer import Other, WorkStrength
from longpoint.choosing.candidates import Buildable, bought_timber
from longpoint.errors import DOES_NOT_HOLD, Caution
from longpoint.strength.choice import holds
from longpoint.strength.verdicts.verdict import Verdict

TIMBER_BOUGHT = "timber-bought"
"""Code of the caution that names timber which is not stated."""


@dataclass(frozen=True, slots=True, eq=False)
class Missed:
    """A work that does not hold.

    Attributes:
        strength: What was computed.
        currency: Of prices.
    """

    strength: WorkStrength
    currency: str


CHANGED = "changed-to-hold"
"""Code of the caution that other timber is planned than stated, for nothing stated holds."""


@dataclass(frozen=True, slots=True, eq=False)
class Changed:
    """A design planned where nothing that is stated holds.

    Attributes:
        option: The design with its timber.
        instead: The nearest miss of what is stated.
        currency: Of prices.
    """

    option: Buildable
    instead: Other
    currency: str


@dataclass(frozen=True, slots=True)
class Bought:
    """A design of timber that is not stated.

    Attributes:
        option: The design with its timber.
        currency: Of prices.
    """

    option: Buildable
    currency: str


def cautions_of(
    name: str, strength: WorkStrength, *, currency: str, timber_stated: bool
) -> tuple[Caution, ...]:
    """What a person should know of a design first: that it does not hold, or what it holds unless.

    Args:
        name: Of the work.
        strength: What was computed.
        currency: Of prices.
        timber_stated: Whether the batch states any timber.
    """
    found = []
    if not all(holds(verdict) for verdict in strength.verdicts):
        found.append(Caution(DOES_NOT_HOLD, about=name, of=Missed(strength, currency)))
    if strength.instead is not None:
        found.append(Caution(CHANGED, about=name, of=Changed(strength.option, strength.instead, currency)))
    elif timber_stated and bought_timber(strength.option):
        found.append(Caution(TIMBER_BOUGHT, about=name, of=Bought(strength.option, currency)))
    found += [
        Caution(f"unless-{doubt}", about=name, of=verdict)
        for verdict in strength.verdicts
        if (doubt := doubt_of(verdict))
    ]
    return tuple(found)


def doubt_of(verdict: Verdict) -> str:
    """What a work holds unless, where this verdict leaves something open: ``water``, ``pull`` or its key; else ""."""
    if verdict.judge == "wish":
        return verdict.key if verdict.answer == "not" else ""
    if verdict.answer != "unless":
        return ""
    if verdict.key == "bears":
        doubt = "water" if verdict.number("water") else "pull"
        return doubt if verdict.passes else ""
    return (
        verdict.key
        if verdict.key == "wind" or (verdict.passes is False and verdict.judge == "design")
        else ""
    )
