"""Glue size and primer: how much, in what order, how long to wait."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from longpoint.errors import Caution, OutOfRangeError
from longpoint.stretching.ranges import Range
from longpoint.stretching.steps import Advice
from longpoint.tables import Coating, mixing, safety_caution


@dataclass(frozen=True, slots=True)
class CoatAmount:
    """What one kind of coat takes.

    Attributes:
        name: What it is called.
        coats: How many.
        area: Area of one coat. [m²]
        litres: For all coats. [L]
        grams: Wet, for all coats. [g]
        dry: Mass that stays, for all coats. [g]
        glue: Dry glue to soak, for glue size, from–to; None otherwise. [g]
        water: Water for size, or to thin the first coat, from–to. [L]
    """

    name: str
    coats: int
    area: float
    litres: Range
    grams: Range
    dry: Range
    glue: Range | None
    water: Range


@dataclass(frozen=True, slots=True)
class CoatStep:
    """One coat in the order of work.

    Attributes:
        name: What is brushed on.
        coat: Which coat of its kind, from 1.
        direction: "along the width" or "along the height".
        starts_from: Hours after the first brush stroke, at the earliest. [h]
        wait: Hours to wait after it, from–to. [h]
        text: How.
    """

    name: str
    coat: int
    direction: str
    starts_from: float
    wait: tuple[float, float]
    text: str


@dataclass(frozen=True, slots=True)
class PrimingPlan:
    """Size and primer for one work or a batch.

    Attributes:
        area: Area brushed each time. [m²]
        amounts: What each kind takes.
        steps: Coats in order.
        ready_after: Hours until paint may follow, from–to. [h]
        added_mass: Mass that stays on the canvas. [g]
        then: What to do afterwards.
        cautions: What a person should know, safety included.
    """

    area: float
    amounts: tuple[CoatAmount, ...]
    steps: tuple[CoatStep, ...]
    ready_after: tuple[float, float]
    added_mass: Range
    then: tuple[Advice, ...]
    cautions: tuple[Caution, ...]


def brushed_area(*, face_width: float, face_height: float, depth: float, sides_too: bool) -> float:
    """Area that is brushed.

    Args:
        face_width: Of the face. [mm]
        face_height: Of the face. [mm]
        depth: Of the bars. [mm]
        sides_too: Whether the sides are brushed.

    Returns:
        Area. [m²]
    """
    sides = 2.0 * (face_width + face_height) * depth if sides_too else 0.0
    return (face_width * face_height + sides) * 1e-6


def coat_amount(
    *, coating: Coating, area: float, coats: int | None = None, covers: float | None = None
) -> CoatAmount:
    """What one kind of coat takes.

    Args:
        coating: Size or primer.
        area: Area of one coat, above 0. [m²]
        coats: How many; None for the usual.
        covers: What the tin says one litre covers; None for the table's range. [m²/L]

    Returns:
        The amounts.

    Raises:
        OutOfRangeError: If area, coats or coverage is not above 0.
    """
    count = coating.coats if coats is None else coats
    for name, value in (
        ("Area", area),
        ("Number of coats", count),
        ("Coverage", 1.0 if covers is None else covers),
    ):
        if value <= 0:
            msg = f"{name} must be above 0, not {value:g}."
            raise OutOfRangeError(msg)
    low, high = (coating.coverage_low, coating.coverage_high) if covers is None else (covers, covers)
    litres = Range(count * area / high, count * area / (0.5 * (low + high)), count * area / low)
    dry = Range(
        count * area * coating.dry_low,
        count * area * 0.5 * (coating.dry_low + coating.dry_high),
        count * area * coating.dry_high,
    )
    glue = None
    if coating.name == "glue size":
        strength = mixing("dry glue in a litre of size").value
        glue = litres.times(strength)
        water = litres
    elif coating.water_borne and coating.kind == "primer":
        water = litres.times(mixing("water in the first coat of primer").value / count)
    else:
        water = Range(0.0, 0.0, 0.0)
    return CoatAmount(
        name=coating.name,
        coats=count,
        area=area,
        litres=litres,
        grams=litres.times(1000.0 * coating.density),
        dry=dry,
        glue=glue,
        water=water,
    )


def priming_plan(
    *, coatings: Iterable[tuple[Coating, int | None, float | None]], area: float, raw: bool
) -> PrimingPlan:
    """Size and primer in order, with amounts and drying times.

    Args:
        coatings: In order: size or primer, coats and coverage of the tin (None for the usual).
        area: Area of one coat. [m²]
        raw: Whether the cloth is raw: the first water-borne coat shrinks it.

    Returns:
        The plan.

    Raises:
        OutOfRangeError: If nothing is to be brushed on, or a number is not above 0.
    """
    chosen = [
        (row, coat_amount(coating=row, area=area, coats=coats, covers=covers))
        for row, coats, covers in coatings
    ]
    if not chosen:
        msg = "A priming plan needs at least one size or primer."
        raise OutOfRangeError(msg)
    steps: list[CoatStep] = []
    clock, latest = 0.0, 0.0
    for row, amount in chosen:
        for coat in range(1, amount.coats + 1):
            last = coat == amount.coats
            wait = (row.after_low, row.after_high) if last else (row.between, row.between)
            direction = "along the width" if len(steps) % 2 == 0 else "along the height"
            steps.append(CoatStep(row.name, coat, direction, clock, wait, _how(row, coat, direction)))
            clock, latest = clock + wait[0], latest + wait[1]
    amounts = tuple(amount for _, amount in chosen)
    wets = raw and any(row.water_borne for row, _ in chosen)
    return PrimingPlan(
        area=area,
        amounts=amounts,
        steps=tuple(steps),
        ready_after=(clock, latest),
        added_mass=Range(
            sum(amount.dry.low for amount in amounts),
            sum(amount.dry.middle for amount in amounts),
            sum(amount.dry.high for amount in amounts),
        ),
        then=tuple(_then(wets)),
        cautions=tuple(_cautions([row for row, _ in chosen])),
    )


def _how(row: Coating, coat: int, direction: str) -> str:
    if row.name == "glue size":
        soak = f"{mixing('soaking, from').value:g}-{mixing('soaking, to').value:g} h"
        heat = f"{mixing('dissolve at, from').value:g}-{mixing('dissolve at, to').value:g} °C"
        return (
            f"Soak the glue {soak} in cold water, dissolve it in a water bath at {heat}, never boiling; brush it on "
            f"{direction}, thin, without flooding."
        )
    thin = ""
    if coat == 1 and row.kind == "primer" and row.water_borne:
        thin = f"Thin it with {100 * mixing('water in the first coat of primer').value:.0f} % water; "
    start = "brush it" if thin else "Brush it"
    return f"{thin}{start} on {direction}, across the coat before."


def _then(wets: bool) -> Iterable[Advice]:
    if wets:
        yield Advice(
            "look-after-first-coat",
            "Raw cloth shrinks as the first wet coat dries: before the next coat check bars and corners, and let the "
            "work lie flat.",
        )
        yield Advice(
            "press-test-when-dry",
            "When it is dry do the press test; if it is slack, lift staples from the middles outwards and pull again.",
        )
    yield Advice(
        "sand-dry",
        "Sand between coats only when it is dry and only if the ground is free of lead; wipe the dust off.",
    )


def _cautions(rows: list[Coating]) -> Iterable[Caution]:
    if any(row.name == "glue size" for row in rows):
        yield safety_caution("glue size").as_caution()
    if any(not row.water_borne for row in rows):
        yield safety_caution("solvents").as_caution()
    if any("lead" in row.name for row in rows):
        yield safety_caution("lead").as_caution()
    if any("lead" not in row.name and row.kind == "primer" for row in rows):
        yield safety_caution("dust").as_caution()
