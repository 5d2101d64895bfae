"""What is stated of a thing in the rack: read through the same door as a batch file, kept as it would stand in one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field

from longpoint.model.cloth import Roll
from longpoint.model.quantities import Count, LengthAboveZero, Money, Number, OneLine, Stated, Text, YesNo
from longpoint.model.timber import RackBoard

Kind = Literal["board", "offcut", "roll", "supply"]
Serves = Literal["", "bar", "bevelled bar", "rail", "middle piece", "block"]

NM = 1_000_000
"""Nanometres of a millimetre."""

THOUSANDTHS = 1000
"""Of a supply's unit: what its amount counts."""


def _as_day(text: str) -> str:
    if text:
        date.fromisoformat(text)
    return text


Day = Annotated[str, Field(max_length=10), AfterValidator(_as_day)]
"""A day as 2026-11-30; "" where it is not said."""


class Board(RackBoard):
    """A board or an offcut in the rack.

    Attributes:
        name: What it is written on it; left out, the rack gives a number.
        how_many: How many like it; each gets a number of its own.
        serves: What an offcut will serve for; "" for a board.
        place: Where it stands.
        cost: What it cost.
        yard: Where it comes from.
        came: The day it came, as 2026-11-30.
        cut_from: Label of the board it was cut from.
    """

    name: Annotated[str, Field(max_length=40)] = ""
    how_many: Count = 1
    serves: Serves = ""
    place: Text = ""
    cost: Money | None = None
    yard: Text = ""
    came: Day = ""
    cut_from: Text = ""


class Cloth(Roll):
    """A roll in the rack, or what is left of one.

    Attributes:
        name: What is written on it; left out, the rack gives a number.
        cloth: What cloth it is, as its tests are kept under.
        length: What is on it.
        place: Where it lies.
        cost: What it cost.
        came: The day it came, as 2026-11-30.
        cut_from: Label of the roll it was cut from.
    """

    name: Annotated[str, Field(max_length=40)] = ""
    length: LengthAboveZero
    at_hand: YesNo = True
    cloth: Text = ""
    place: Text = ""
    cost: Money | None = None
    came: Day = ""
    cut_from: Text = ""


class Supply(Stated):
    """Hardware, glue, size or primer.

    Attributes:
        name: What is written on it; left out, the rack gives a number.
        what: What it is, as the batch file names it.
        kind: Which table of the batch file it goes with.
        amount: How much is there: pieces, grams of glue, litres of size and primer.
        opened: The day it was opened, as 2026-11-30.
        place: Where it stands.
        cost: What it cost.
        came: The day it came.
    """

    name: Annotated[str, Field(max_length=40)] = ""
    what: OneLine
    kind: Literal["screw", "staple", "glue", "size", "primer", "hanger", "other"] = "other"
    amount: Annotated[Number, Field(gt=0, le=1e6)]
    opened: Day = ""
    place: Text = ""
    cost: Money | None = None
    came: Day = ""


MODELS: dict[Kind, type[Board] | type[Cloth] | type[Supply]] = {
    "board": Board,
    "offcut": Board,
    "roll": Cloth,
    "supply": Supply,
}

UNITS = {"screw": "", "staple": "", "hanger": "", "other": "", "glue": "g", "size": "l", "primer": "l"}
"""What a supply's amount counts; "" for pieces."""

AnyStated = Board | Cloth | Supply


@dataclass(frozen=True, slots=True)
class Columns:
    """What is searched by of an item; lengths in nm."""

    name: str
    timber: str = ""
    thickness: int = 0
    depth: int = 0
    length: int = 0
    grade: str = ""
    serves: str = ""
    place: str = ""


def facts_of(stated: AnyStated) -> dict[str, Any]:
    """What is kept of what was stated, as plain values; lengths in mm."""
    told = stated.model_dump(mode="json", exclude_unset=True)
    return {key: value for key, value in told.items() if key not in ("name", "how_many", "at_hand", "amount")}


def amount_of(stated: AnyStated) -> int:
    """How much of it comes into the rack, in the item's unit."""
    if isinstance(stated, Cloth):
        return nanometres(stated.length)
    if isinstance(stated, Supply):
        return round(stated.amount * THOUSANDTHS)
    return 1


def kind_of(stated: AnyStated) -> Kind:
    """Which kind of thing it is."""
    if isinstance(stated, Cloth):
        return "roll"
    if isinstance(stated, Supply):
        return "supply"
    return "offcut" if stated.serves or stated.cut_from else "board"


def columns_of(kind: str, facts: Mapping[str, Any]) -> Columns:
    """What an item is searched by.

    Args:
        kind: Its kind.
        facts: What is stated of it; lengths in mm.
    """
    place = str(facts.get("place", ""))[:80]
    if kind == "roll":
        name = str(facts.get("cloth") or facts.get("fibre", "cotton"))
        return Columns(name[:80], str(facts.get("fibre", "cotton")), depth=_nm(facts["width"]), place=place)
    if kind == "supply":
        return Columns(str(facts["what"]), str(facts.get("kind", "other")), place=place)
    thin, wide = sorted((_nm(facts["thickness"]), _nm(facts["depth"])))
    return Columns(
        str(facts.get("yard", ""))[:80],
        str(facts.get("timber", "C16")),
        thin,
        wide,
        _nm(facts["length"]),
        str(facts.get("grade", "bars")),
        str(facts.get("serves", "")),
        place,
    )


def nanometres(length: Fraction | float) -> int:
    """A length as whole nanometres."""
    return round(Fraction(str(length)) * NM) if isinstance(length, float) else round(length * NM)


def _nm(value: Any) -> int:
    return round(Decimal(str(value)) * NM)


def amount_words(kind: str, facts: Mapping[str, Any], amount: int) -> str:
    """An amount as a person says it."""
    if kind == "roll":
        return f"{amount / NM / 1000:.2f} m"
    if kind == "supply":
        unit = UNITS[str(facts.get("kind", "other"))]
        return f"{amount / THOUSANDTHS:g} {unit}".rstrip()
    return "1" if amount else "gone"
