"""Field types at the door: a quantity as written becomes an exact value.

The unit of a bare number is the file's own; it reaches the validators through pydantic's context
(``context={"unit": "mm"}``).
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Annotated, Any, Literal
from unicodedata import category

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    GetPydanticSchema,
    Strict,
    ValidationInfo,
)
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from longpoint.units import QuantityError, parse_angle, parse_area_mass, parse_length, parse_money


class Stated(BaseModel):
    """Base of everything a person states: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)
    __slots__ = ("_hash",)  # no field: neither compared nor copied nor sent to another process
    if TYPE_CHECKING:
        _hash: int

    def __hash__(self) -> int:
        """Worked out once: a batch is what results are remembered by, thousands of times, and fractions hash slowly."""
        try:
            return self._hash
        except AttributeError:
            made = hash(tuple(self.__dict__[name] for name in type(self).model_fields))
            object.__setattr__(self, "_hash", made)
            return made


def shown(value: Any) -> str:
    """A value as it stands in a file, short enough for a sentence."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, (list, tuple)):
        return "a list"
    if isinstance(value, (int, float, str)):
        text = (
            repr(value)
            if isinstance(value, (float, str)) or abs(value) < 10**40
            else f"a number of about {int(abs(value).bit_length() * 0.30103) + 1} digits"
        )
        return text if len(text) <= 60 else f"{text[:57]}…{text[-1] if isinstance(value, str) else ''}"
    return str(value)[:60]


def _wrong(reason: str) -> PydanticCustomError:
    """An error whose text is said as it stands: what is wrong; what to do instead."""
    kind = "quantity"
    return PydanticCustomError(kind, "{reason}", {"reason": reason})


def _door(
    reader: Callable[[Any, ValidationInfo], Any],
    *,
    kinds: list[str],
    description: str,
    examples: list[Any],
    writer: Callable[[Any], Any],
) -> GetPydanticSchema:
    def read(value: Any, info: ValidationInfo) -> Any:
        try:
            return reader(value, info)
        except QuantityError as error:
            raise _wrong(str(error)) from None

    def schema(_source: Any, _handler: Any) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(
            read,
            serialization=core_schema.plain_serializer_function_ser_schema(writer),
            json_schema_input_schema=core_schema.any_schema(),
            metadata={
                "pydantic_js_functions": [
                    lambda _schema, _handler: {
                        "type": kinds,
                        "description": description,
                        "examples": examples,
                    }
                ]
            },
        )

    return GetPydanticSchema(schema)


LONGEST = Fraction(1_000_000)
"""No length in a batch is longer. [mm] Estimate: the longest roll of cloth is a few hundred metres."""

DEAREST = Decimal(10**9)
"""No price is higher, in any currency. Estimate."""


def _read_length(value: Any, info: ValidationInfo) -> Fraction:
    if not isinstance(value, (str, int, float, Decimal, Fraction)):
        msg = f"{shown(value)} is not a length; write a number such as 1200"
        raise QuantityError(msg)
    length = parse_length(value, unit=(info.context or {}).get("unit", "mm"))
    if length > LONGEST:
        msg = f"{shown(value)} is longer than a kilometre; check the number and its unit"
        raise QuantityError(msg)
    return length


def _read_length_above_zero(value: Any, info: ValidationInfo) -> Fraction:
    length = _read_length(value, info)
    if length == 0:
        msg = "0 is no length here; write one above zero"
        raise QuantityError(msg)
    return length


def _plain(value: Any) -> Any:
    """A number for files: whole where it is whole, else to a nanometre; 1/64 in (0.396875 mm) stays exact."""
    number = round(float(value), 6)
    return int(number) if number == int(number) else number


Length = Annotated[
    Fraction,
    _door(
        _read_length,
        kinds=["number", "string"],
        description="A length: a bare number in the file's unit, or with a unit.",
        examples=[1200, "1.2 m", '47 1/4"'],
        writer=_plain,
    ),
]
"""A length of zero or more, exact. [mm]"""

LengthAboveZero = Annotated[
    Fraction,
    _door(
        _read_length_above_zero,
        kinds=["number", "string"],
        description="A length above zero: a bare number in the file's unit, or with a unit.",
        examples=[1200, "1.2 m", '47 1/4"'],
        writer=_plain,
    ),
]
"""A length above zero, exact. [mm]"""


def _read_fall(value: Any, info: ValidationInfo) -> Fraction | float:
    text = str(value)
    if "°" in text or "deg" in text:
        return parse_angle(text)
    return _read_length(value, info)


Fall = Annotated[
    Fraction | float,
    _door(
        _read_fall,
        kinds=["number", "string"],
        description="How far the low inner edge falls below the lip: a length, or an angle with °.",
        examples=[5, "3/16 in", "10°"],
        writer=lambda value: (
            _plain(value) if isinstance(value, Fraction) else f"{round(value * 57.29577951308232, 4):g}°"
        ),
    ),
]
"""A fall as a `Fraction` [mm], or as an angle, `float` [rad]."""


def _read_money(value: Any, _info: ValidationInfo) -> Decimal:
    if not isinstance(value, (str, int, float, Decimal)):
        msg = f"{shown(value)} is not an amount of money; write a number such as 4.80"
        raise QuantityError(msg)
    amount = parse_money(value)
    if amount > DEAREST:
        msg = f"{shown(value)} is no price; write a number such as 4.80"
        raise QuantityError(msg)
    return amount


Money = Annotated[
    Decimal,
    _door(
        _read_money,
        kinds=["number", "string"],
        description="An amount of money, zero or more, without a currency sign.",
        examples=[4.8, "12.50"],
        writer=str,
    ),
]
"""An amount of money, zero or more."""

HEAVIEST = 5000.0
"""No cloth is heavier. [g/m²] Estimate: the heaviest duck is below 1000."""


def _read_area_mass(value: Any, _info: ValidationInfo) -> float:
    if not isinstance(value, (str, int, float)):
        msg = f"{shown(value)} is not a mass per area; write g/m² such as 320, or 10 oz/yd2"
        raise QuantityError(msg)
    mass = parse_area_mass(value)
    if mass > HEAVIEST:
        msg = f"{shown(value)} is heavier than any cloth; write g/m² such as 320, or 10 oz/yd2"
        raise QuantityError(msg)
    return mass


AreaMass = Annotated[
    float,
    _door(
        _read_area_mass,
        kinds=["number", "string"],
        description="Mass per area: a bare number in g/m², or with oz/yd2.",
        examples=[320, "10 oz/yd2"],
        writer=_plain,
    ),
]
"""Mass per area. [g/m²]"""


def _printable(text: str) -> str:
    if any(cannot_be_printed(sign) for sign in text):
        raise _wrong("the text holds signs that cannot be printed; write it anew")
    return text


def cannot_be_printed(sign: str) -> bool:
    """Whether a sign steers a terminal, turns the direction of writing, or is half a sign; not line ends and tabs."""
    return sign not in "\n\t" and (category(sign) in ("Cc", "Cs") or sign in _TURNING)


_TURNING = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


def _one_line(text: str) -> str:
    if not text.strip():
        raise _wrong("the name is empty; write one")
    if any(sign in text for sign in "\n\t\x85\u2028\u2029"):
        raise _wrong("the name holds a line break or a tab; write it on one line")
    return _printable(text)


# Strict at the door: "yes", 1 and "12" are not taken for true, true and 12.
YesNo = Annotated[bool, Strict()]
Whole = Annotated[int, Strict()]
Number = Annotated[float, Strict(), Field(allow_inf_nan=False)]
Text = Annotated[str, Field(max_length=600), AfterValidator(_printable)]
OneLine = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_one_line)]

Auto = Literal["auto"]
Count = Annotated[Whole, Field(ge=1, le=100_000)]
Share = Annotated[Number, Field(ge=0, le=1)]
Name = OneLine
