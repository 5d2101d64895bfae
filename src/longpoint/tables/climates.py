"""Air through the year, and how canvas in each state answers it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from longpoint.errors import Where
from longpoint.tables.reading import Source, pick, plain, rows


@dataclass(frozen=True, slots=True)
class SeasonAir:
    """The air of one season.

    Attributes:
        climate: Climate it belongs to.
        season: Season.
        temperature: Of the air. [°C]
        humidity: Relative humidity, 0 to 1. [1]
        source: Where it comes from; an example to start from.
    """

    climate: str
    season: str
    temperature: float
    humidity: float
    source: Source


@dataclass(frozen=True, slots=True)
class ClimatePreset:
    """A climate: four seasons.

    Attributes:
        name: Climate.
        seasons: Its seasons, winter first.
    """

    name: str
    seasons: tuple[SeasonAir, ...]


@dataclass(frozen=True, slots=True)
class HumidityAnswer:
    """How the tension of cloth in one state follows the air: a shape from print, heights estimated.

    Attributes:
        name: State of the cloth.
        turning: Humidity of least tension. [1]
        turning_low: From. [1]
        turning_high: To. [1]
        dry_slope: Below the turning point: gain for each 0.1 drier, over 200 N/m. [1]
        wet_rise: At 95 %: tension of a canvas with 200 N/m at 50 %, over 200 N/m. [1]
        wet_rise_low: From. [1]
        wet_rise_high: To. [1]
        dry_band: Half width of the band over the change itself. [1]
        per_degree: Change for each degree warmer, over 200 N/m. [1/°C]
        source: Where it comes from.
    """

    name: str
    turning: float
    turning_low: float
    turning_high: float
    dry_slope: float
    wet_rise: float
    wet_rise_low: float
    wet_rise_high: float
    dry_band: float
    per_degree: float
    source: Source


@cache
def all_climates() -> tuple[ClimatePreset, ...]:
    """Every climate in the table.

    Returns:
        Climates in the order of the table.
    """
    every = rows("climates", "seasons", SeasonAir)
    names = dict.fromkeys(row.climate for row in every)
    return tuple(ClimatePreset(name, tuple(row for row in every if row.climate == name)) for name in names)


def climate_preset(name: str, *, where: Where | None = None) -> ClimatePreset:
    """A climate by its name.

    Args:
        name: As a person wrote it.
        where: Place it was written, for the message.

    Returns:
        The climate.

    Raises:
        FaultsError: If the tables know none of that name.
    """
    return pick(all_climates(), name, what="climate", where=where)


@cache
def humidity_answer(state: str) -> HumidityAnswer:
    """How the tension of cloth in a state follows the air.

    Args:
        state: State of cloth; both raw states share one row.

    Returns:
        The row.
    """
    wanted = "raw" if plain(state).startswith("raw") else state
    return pick(rows("climates", "answers", HumidityAnswer), wanted, what="state of cloth")
