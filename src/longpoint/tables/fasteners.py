"""Screws, staples and nails: sizes, holes and the distances that keep wood from splitting."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import cos, sin

from longpoint.errors import OutOfRangeError, Where, refuse
from longpoint.tables.reading import Source, pick, rows

INCH = 25.4  # [mm] exact


@dataclass(frozen=True, slots=True)
class ScrewGauge:
    """A wood screw's number.

    Attributes:
        gauge: The number people call it by.
        inches: Shank diameter as the standard states it. [in]
        source: Where it comes from.
    """

    gauge: int
    inches: float
    source: Source

    @property
    def diameter(self) -> float:
        """Shank diameter. [mm]"""
        return self.inches * INCH


@dataclass(frozen=True, slots=True)
class ScrewRule:
    """A rule about screws.

    Attributes:
        name: Which rule.
        value: Its number.
        unit: What the number counts.
        source: Where it comes from.
    """

    name: str
    value: float
    unit: str
    source: Source


@dataclass(frozen=True, slots=True)
class SpacingRule:
    """One distance of the spacing table, in diameters: fixed + turning × function(angle).

    Attributes:
        name: Which distance.
        predrilled: Whether the hole is drilled first.
        below: Holds for diameters below this. [mm]
        fixed: Part that does not depend on the angle. [diameters]
        turning: Part that does. [diameters]
        function: Of the angle between load and grain: "none", "cos", "abs cos", "sin", "abs sin".
        source: Where it comes from.
    """

    name: str
    predrilled: bool
    below: float
    fixed: float
    turning: float
    function: str
    source: Source

    def distance(self, *, diameter: float, angle: float) -> float:
        """The distance for one screw.

        Args:
            diameter: Of the screw. [mm]
            angle: Between load and grain. [rad]

        Returns:
            Distance. [mm]
        """
        turned = {
            "none": 0.0,
            "cos": cos(angle),
            "abs cos": abs(cos(angle)),
            "sin": sin(angle),
            "abs sin": abs(sin(angle)),
        }
        return (self.fixed + self.turning * turned[self.function]) * diameter


@dataclass(frozen=True, slots=True)
class Spacing:
    """Least distances of screws loaded sideways, middle to middle or middle to edge.

    Attributes:
        along_grain: Between screws along the grain (a1). [mm]
        across_grain: Between screws across the grain (a2). [mm]
        loaded_end: To an end the load pushes towards (a3,t). [mm]
        free_end: To an end it pulls away from (a3,c). [mm]
        loaded_edge: To an edge the load pushes towards (a4,t). [mm]
        free_edge: To an edge it pulls away from (a4,c). [mm]
        source: Where the rule comes from.
    """

    along_grain: float
    across_grain: float
    loaded_end: float
    free_end: float
    loaded_edge: float
    free_edge: float
    source: Source


@dataclass(frozen=True, slots=True)
class PulledSpacing:
    """Least distances of screws pulled along their own axis.

    Attributes:
        along_grain: Between screws along the grain. [mm]
        across_grain: Between screws across the grain. [mm]
        end: To an end. [mm]
        edge: To an edge. [mm]
        thickness: Least thickness of the timber. [mm]
        source: Where the rule comes from.
    """

    along_grain: float
    across_grain: float
    end: float
    edge: float
    thickness: float
    source: Source


@dataclass(frozen=True, slots=True)
class EndDistance:
    """A least end or edge distance after NDS.

    Attributes:
        name: "loaded end", "free end" or "edge".
        predrilled: Whether the hole is drilled first.
        diameters: Least distance. [diameters]
        source: Where it comes from.
    """

    name: str
    predrilled: bool
    diameters: float
    source: Source


@dataclass(frozen=True, slots=True)
class StapleKind:
    """A staple for canvas.

    Attributes:
        name: Kind.
        crown: Width of the crown. [mm]
        wire_width: Wire the wide way. [mm]
        wire_thickness: Wire the thin way. [mm]
        round_diameter: Diameter of a round leg with the same holding. [mm]
        legs: Leg lengths sold. [mm]
        source: Where it comes from.
    """

    name: str
    crown: float
    wire_width: float
    wire_thickness: float
    round_diameter: float
    legs: tuple[float, ...]
    source: Source


@cache
def all_screw_gauges() -> tuple[ScrewGauge, ...]:
    """Every screw number in the table.

    Returns:
        The rows, thinnest first.
    """
    return rows("fasteners", "screw_gauges", ScrewGauge)


def screw_gauge(number: int, *, where: Where | None = None) -> ScrewGauge:
    """A screw's diameter by its number.

    Args:
        number: The number people call it by, e.g. 8.
        where: Place it was written, for the message.

    Returns:
        The row.

    Raises:
        FaultsError: If the table has no such number.
    """
    for row in all_screw_gauges():
        if row.gauge == number:
            return row
    known = sorted((row.gauge for row in all_screw_gauges()), key=lambda each: (abs(each - number), each))
    what = f"The tables know no screw number {number}."
    code = "unknown-screw-gauge"
    raise refuse(code, what, f"Nearest known: {known[0]}, {known[1]}.", where)


@cache
def screw_rule(name: str) -> ScrewRule:
    """A rule about screws.

    Args:
        name: Which rule, as in the table.

    Returns:
        The row.
    """
    return pick(rows("fasteners", "screw_rules", ScrewRule), name, what="screw rule")


def _spacing_rule(name: str, *, diameter: float, predrilled: bool) -> SpacingRule:
    every = [
        row
        for row in rows("fasteners", "spacings", SpacingRule)
        if row.name == name and row.predrilled == predrilled
    ]
    for row in every:
        if diameter < row.below:
            return row
    msg = f"Spacing rules hold for screws below {every[-1].below:g} mm, not {diameter:g} mm."
    raise OutOfRangeError(msg)


def _check_diameter(diameter: float) -> None:
    if diameter <= 0.0:
        msg = f"A screw's diameter must be above 0 mm, not {diameter:g}."
        raise OutOfRangeError(msg)


@cache
def screw_spacing(*, diameter: float, angle: float, predrilled: bool) -> Spacing:
    """Least distances of screws loaded sideways.

    Meant for nails below 8 mm and screws up to about 6 mm, timber up to 420 kg/m³.

    Args:
        diameter: Of the shank. [mm]
        angle: Between load and grain, −π/2 to π/2. [rad]
        predrilled: Whether the hole is drilled first.

    Returns:
        The six distances. [mm]

    Raises:
        OutOfRangeError: If the diameter is not above 0 and below 8 mm.

    References:
        EN 1995-1-1 Table 8.2; layout read in a European LVL handbook (2025), Table 5.1.
    """
    _check_diameter(diameter)

    def rule(name: str) -> SpacingRule:
        return _spacing_rule(name, diameter=diameter, predrilled=predrilled)

    def distance(name: str) -> float:
        return rule(name).distance(diameter=diameter, angle=angle)

    return Spacing(
        along_grain=distance("along grain"),
        across_grain=distance("across grain"),
        loaded_end=distance("loaded end"),
        free_end=distance("free end"),
        loaded_edge=distance("loaded edge"),
        free_edge=distance("free edge"),
        source=rule("along grain").source,
    )


@cache
def pulled_spacing(*, diameter: float) -> PulledSpacing:
    """Least distances of pre-drilled screws pulled along their axis.

    Args:
        diameter: Of the shank. [mm]

    Returns:
        The distances. [mm]

    Raises:
        OutOfRangeError: If the diameter is not above 0 and below 8 mm.

    References:
        EN 1995-1-1 Table 8.6, read in the same handbook.
    """
    _check_diameter(diameter)

    def rule(name: str) -> SpacingRule:
        return _spacing_rule(f"{name}, pulled out", diameter=diameter, predrilled=True)

    def distance(name: str) -> float:
        return rule(name).distance(diameter=diameter, angle=0.0)

    return PulledSpacing(
        along_grain=distance("along grain"),
        across_grain=distance("across grain"),
        end=distance("end"),
        edge=distance("edge"),
        thickness=distance("thickness"),
        source=rule("along grain").source,
    )


@cache
def end_distance(name: str, *, diameter: float, predrilled: bool) -> float:
    """A least end or edge distance after NDS, softwood.

    Args:
        name: "loaded end", "free end" or "edge".
        diameter: Of the shank. [mm]
        predrilled: Whether the hole is drilled first.

    Returns:
        Distance. [mm]
    """
    _check_diameter(diameter)
    candidates = tuple(
        r for r in rows("fasteners", "end_distances", EndDistance) if r.predrilled == predrilled
    )
    return pick(candidates, name, what="end distance").diameters * diameter


@cache
def all_staple_kinds() -> tuple[StapleKind, ...]:
    """Every kind of staple in the table.

    Returns:
        The rows in the order of the table.
    """
    return rows("fasteners", "staples", StapleKind)


def staple_kind(name: str, *, where: Where | None = None) -> StapleKind:
    """A kind of staple by its name.

    Args:
        name: As a person wrote it.
        where: Place it was written, for the message.

    Returns:
        The row.
    """
    return pick(all_staple_kinds(), name, what="staple", where=where)
