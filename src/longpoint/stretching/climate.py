"""What wood and canvas do as the air changes.

Wood follows the equilibrium moisture of the air across the grain. Canvas follows a shape that print agrees on: drier is
tighter, down to a humidity of least tension, above which it tightens again. How high the curve stands is an estimate
and always comes with its band.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import degrees, sqrt

from longpoint.errors import OutOfRangeError
from longpoint.stretching.ranges import Range
from longpoint.tables import (
    ClimatePreset,
    equilibrium_moisture,
    humidity_answer,
    movement_across,
    named_tension,
)

_REFERENCE_HUMIDITY = 0.5  # the curve is 1 here
_REFERENCE_TEMPERATURE = 20.0  # [°C] and here
_DAMPEST = 0.95  # where the curve's damp end is given


@dataclass(frozen=True, slots=True)
class Air:
    """Air at one time of the year.

    Attributes:
        name: "winter", "now", ...
        temperature: Of the air. [°C]
        humidity: Relative humidity, 0 to 1. [1]
    """

    name: str
    temperature: float
    humidity: float


def airs_of(preset: ClimatePreset) -> tuple[Air, ...]:
    """The seasons of a climate from the tables.

    Args:
        preset: A climate.

    Returns:
        Its airs, winter first.
    """
    return tuple(Air(season.season, season.temperature, season.humidity) for season in preset.seasons)


# --- wood ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WoodMovement:
    """How a bar's size across the grain changes between two airs.

    Attributes:
        moisture_from: Before. [%]
        moisture_to: After. [%]
        change: Of the size, growing positive. [mm]
        strain: Change over size. [1]
    """

    moisture_from: float
    moisture_to: float
    change: float
    strain: float


def wood_movement(
    *, size: float, species_name: str, flat_sawn: bool, before: Air, after: Air
) -> WoodMovement:
    """How much wider or narrower a bar becomes; along the grain it hardly changes.

    Args:
        size: Across the grain, in the canvas plane. [mm]
        species_name: Of the wood.
        flat_sawn: Whether the size lies along the rings (moves more), not across them.
        before: Air the bar was settled in.
        after: Air it settles in.

    Returns:
        The movement.

    References:
        Wood Handbook eq. 4-5 and 13-1.
    """
    row = movement_across(species_name)
    coefficient = row.tangential if flat_sawn else row.radial
    dry = equilibrium_moisture(temperature=before.temperature, humidity=before.humidity)
    damp = equilibrium_moisture(temperature=after.temperature, humidity=after.humidity)
    strain = coefficient * (damp - dry)
    return WoodMovement(dry, damp, size * strain, strain)


@dataclass(frozen=True, slots=True)
class MitreGap:
    """A mitre opened by movement of the wood.

    Attributes:
        wedge: Angle between the faces. [degrees]
        gap: Widest opening, not below 0. [mm]
        opens_at: "inside" on drying, "outside" on swelling, "nowhere".
    """

    wedge: float
    gap: float
    opens_at: str


def mitre_gap(*, thickness: float, strain: float) -> MitreGap:
    """How far a mitre opens when bars change their size across the grain but not along it.

    Args:
        thickness: Of the bars, in the canvas plane. [mm]
        strain: Change over size across the grain, growing positive. [1]

    Returns:
        The gap, glue and screws not counted.

    References:
        Geometry: a wedge of angle equal to the strain over a face of thickness × √2.
    """
    opens_at = "nowhere" if strain == 0.0 else ("outside" if strain > 0.0 else "inside")
    return MitreGap(degrees(abs(strain)), thickness * sqrt(2.0) * abs(strain), opens_at)


# --- canvas -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Shape:
    """One curve within the band; all numbers over the reference tension."""

    turning: float
    slope: float
    rise: float
    per_degree: float

    def at(self, *, humidity: float, temperature: float) -> float:
        """Height of the curve, 1 at 50 % and 20 °C."""
        at_turning = 1.0 + self.slope * (_REFERENCE_HUMIDITY - self.turning) / 0.1
        if humidity <= self.turning:
            found = 1.0 + self.slope * (_REFERENCE_HUMIDITY - humidity) / 0.1
        else:
            # level at the turning point; a turning point at the very end still gets a little room to rise in
            part = (humidity - self.turning) / (max(_DAMPEST, self.turning + 0.05) - self.turning)
            found = at_turning + (max(self.rise, at_turning) - at_turning) * part * part
        return found + self.per_degree * (temperature - _REFERENCE_TEMPERATURE)


def _shapes(state: str) -> tuple[_Shape, tuple[_Shape, ...]]:
    """The middle curve, and every curve of the band."""
    row = humidity_answer(state)
    less, more = 1.0 - row.dry_band, 1.0 + row.dry_band
    band = product(
        (row.turning_low, row.turning, row.turning_high),
        (row.dry_slope * less, row.dry_slope, row.dry_slope * more),
        (row.wet_rise_low, row.wet_rise, row.wet_rise_high),
        (row.per_degree * less, row.per_degree, row.per_degree * more),
    )
    middle = _Shape(row.turning, row.dry_slope, row.wet_rise, row.per_degree)
    return middle, tuple(_Shape(*numbers) for numbers in band)


@lru_cache(maxsize=64)
def tension_change(*, state: str, before: Air, after: Air) -> Range:
    """How much the tension of canvas changes from one air to another. An estimate with its band.

    Air changes the length that cloth wants to have, so the change is the same for a tight canvas as for a slack one,
    until it hangs loose.

    Args:
        state: State of the cloth.
        before: Air it was in.
        after: Air it comes into.

    Returns:
        Low, middle and high, tightening positive. [N/mm]

    Raises:
        OutOfRangeError: If a humidity does not lie between 0 and 1.

    References:
        Shape: Daly Hartin & Michalski, Conserving Canvas (2023) ch. 19; heights estimated.
    """
    for air in (before, after):
        if not 0.0 <= air.humidity <= 1.0:
            msg = f"Relative humidity must lie between 0 and 1, not {air.humidity:g}; 50 % is 0.5."
            raise OutOfRangeError(msg)
    reference = named_tension("service default").low
    middle, band = _shapes(state)

    def change(shape: _Shape) -> float:
        there = shape.at(humidity=after.humidity, temperature=after.temperature)
        return reference * (there - shape.at(humidity=before.humidity, temperature=before.temperature))

    changes = [change(shape) for shape in band]
    return Range(min(changes), change(middle), max(changes))


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """A point of the tension curve.

    Attributes:
        humidity: Relative humidity. [1]
        tension: Low, middle, high. [N/mm]
    """

    humidity: float
    tension: Range


def tension_curve(
    *, state: str, left: float, stretched_in: Air, temperature: float, steps: int = 40
) -> tuple[CurvePoint, ...]:
    """Tension over humidity, for a chart.

    Args:
        state: State of the cloth.
        left: Tension left in the air it was stretched in. [N/mm]
        stretched_in: That air.
        temperature: Of the air along the curve. [°C]
        steps: Intervals from 10 % to 95 %.

    Returns:
        Points with rising humidity.
    """
    found = []
    for step in range(steps + 1):
        humidity = 0.10 + (_DAMPEST - 0.10) * step / steps
        found.append(
            CurvePoint(
                humidity,
                tension_in(
                    state=state, left=left, stretched_in=stretched_in, air=Air("", temperature, humidity)
                ),
            )
        )
    return tuple(found)


def tension_in(*, state: str, left: float, stretched_in: Air, air: Air) -> Range:
    """Tension in another air; the band is that of the change, so it is nothing in the air of the stretching.

    Args:
        state: State of the cloth.
        left: Tension left in the air it was stretched in. [N/mm]
        stretched_in: That air.
        air: The other air.

    Returns:
        Low, middle and high, never below 0. [N/mm]
    """
    change = tension_change(state=state, before=stretched_in, after=air)
    return Range(*(max(left + each, 0.0) for each in (change.low, change.middle, change.high)))
