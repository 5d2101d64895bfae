"""Field types at the door: a quantity as written becomes an exact value.

The unit of a bare number is the file's own; it reaches the validators through pydantic's context
(``context={"unit": "mm"}``).
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, GetPydanticSchema, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from longpoint.units import QuantityError, parse_angle, parse_area_mass, parse_length, parse_money


class Stated(BaseModel):
    """Base of everything a person states: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


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
            kind = "quantity"
            raise PydanticCustomError(kind, "{reason}", {"reason": str(error)}) from None

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


def _read_length(value: Any, info: ValidationInfo) -> Fraction:
    if not isinstance(value, (str, int, float, Decimal, Fraction)):
        msg = f"{value!r} is not a length; write a number such as 1200"
        raise QuantityError(msg)
    return parse_length(value, unit=(info.context or {}).get("unit", "mm"))


def _read_length_above_zero(value: Any, info: ValidationInfo) -> Fraction:
    length = _read_length(value, info)
    if length == 0:
        msg = "this length must be above zero"
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

Money = Annotated[
    Decimal,
    _door(
        lambda value, _info: parse_money(value),
        kinds=["number", "string"],
        description="An amount of money, zero or more, without a currency sign.",
        examples=[4.8, "12.50"],
        writer=str,
    ),
]
"""An amount of money, zero or more."""

AreaMass = Annotated[
    float,
    _door(
        lambda value, _info: parse_area_mass(value),
        kinds=["number", "string"],
        description="Mass per area: a bare number in g/m², or with oz/yd2.",
        examples=[320, "10 oz/yd2"],
        writer=_plain,
    ),
]
"""Mass per area. [g/m²]"""

Auto = Literal["auto"]
Count = Annotated[int, Field(ge=1, le=100_000, strict=True)]
Share = Annotated[float, Field(ge=0, le=1)]
Name = Annotated[str, Field(min_length=1, max_length=80)]
