"""Through the year: tension, moisture and mitres season by season, and what to do about them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from longpoint.errors import Caution, OutOfRangeError
from longpoint.stretching.climate import Air, MitreGap, mitre_gap, tension_change, tension_in, wood_movement
from longpoint.stretching.ranges import Range
from longpoint.stretching.steps import Advice
from longpoint.tables import canvas_constant, habit, limit, named_strain


@dataclass(frozen=True, slots=True)
class SeasonPoint:
    """One time of the year.

    Attributes:
        air: The air.
        moisture: Of the wood. [%]
        tension: Of the canvas, with its band. [N/mm]
        bar_change: Of the bar's thickness against the making. [mm]
        mitre: Opening of the mitres.
    """

    air: Air
    moisture: float
    tension: Range
    bar_change: float
    mitre: MitreGap


@dataclass(frozen=True, slots=True)
class YearChart:
    """The year of one work.

    Attributes:
        state: State of the cloth.
        stretched_in: Air of the making.
        points: Times of the year in order.
        lowest: Least tension of the year, with its band. [N/mm]
        highest: Greatest tension of the year, with its band. [N/mm]
        window: What the tension at the making may be so that the year stays inside the limits; None if nothing does.
            [N/mm]
        cautions: What a person should know.
        advice: What to do.
    """

    state: str
    stretched_in: Air
    points: tuple[SeasonPoint, ...]
    lowest: Range
    highest: Range
    window: tuple[float, float] | None
    cautions: tuple[Caution, ...]
    advice: tuple[Advice, ...]


def year_chart(
    *,
    state: str,
    left: float,
    stretched_in: Air,
    airs: Iterable[Air],
    species_name: str,
    thickness: float,
    flat_sawn: bool,
    keyed: bool,
) -> YearChart:
    """What the year does to one work.

    Args:
        state: State of the cloth in service.
        left: Tension left in the air it was stretched in. [N/mm]
        stretched_in: That air, in which the wood was settled when its joints were cut.
        airs: Times of the year, at least one.
        species_name: Of the bars.
        thickness: Of the bars, in the canvas plane. [mm]
        flat_sawn: Whether that way lies along the rings.
        keyed: Whether the corners open with keys.

    Returns:
        The chart's values, cautions and advice.

    Raises:
        OutOfRangeError: If there is no air.
    """
    points = []
    for air in airs:
        moved = wood_movement(
            size=thickness, species_name=species_name, flat_sawn=flat_sawn, before=stretched_in, after=air
        )
        points.append(
            SeasonPoint(
                air=air,
                moisture=moved.moisture_to,
                tension=tension_in(state=state, left=left, stretched_in=stretched_in, air=air),
                bar_change=moved.change,
                mitre=mitre_gap(thickness=thickness, strain=moved.strain),
            )
        )
    if not points:
        msg = "A year needs at least one air."
        raise OutOfRangeError(msg)
    lowest = min((point.tension for point in points), key=lambda tension: tension.middle)
    highest = max((point.tension for point in points), key=lambda tension: tension.middle)
    window = _window(state, stretched_in, points)
    return YearChart(
        state=state,
        stretched_in=stretched_in,
        points=tuple(points),
        lowest=lowest,
        highest=highest,
        window=window,
        cautions=tuple(_cautions(points)),
        advice=tuple(_advice(points, left, window, keyed)),
    )


_WIDE_YEAR = 0.15  # [1] a year whose humidity swings by more asks for a backing board; estimate


def _window(state: str, stretched_in: Air, points: list[SeasonPoint]) -> tuple[float, float] | None:
    """Tensions at the making for which the middle curve stays between flapping and what canvas stands."""
    changes = [tension_change(state=state, before=stretched_in, after=point.air).middle for point in points]
    least = limit("least tension anywhere").value - min(changes)
    most = limit("tension left, to").value - max(changes)
    return (max(least, 0.0), most) if least < most else None


def _named(air: Air) -> str:
    return f"{air.name} ({100 * air.humidity:.0f} %, {air.temperature:.0f} °C)"


def _cautions(points: list[SeasonPoint]) -> Iterable[Caution]:
    damp = limit("humidity, highest").value
    for point in points:
        if point.air.humidity >= damp:
            yield Caution(
                "too-damp",
                facts=(
                    ("humidity", f"{100 * point.air.humidity:.0f} %"),
                    ("air", point.air.name),
                    ("most", f"{100 * damp:.0f} %"),
                ),
            )
        if point.mitre.gap > limit("opening of a corner").value:
            yield Caution(
                "mitres-open",
                facts=(
                    ("humidity", f"{100 * point.air.humidity:.0f} %"),
                    ("air", point.air.name),
                    ("gap", f"{point.mitre.gap:.1f} mm"),
                    ("at", str(point.mitre.opens_at)),
                ),
            )


def _advice(
    points: list[SeasonPoint], left: float, window: tuple[float, float] | None, keyed: bool
) -> Iterable[Advice]:
    driest = min(points, key=lambda point: point.air.humidity)
    dampest = max(points, key=lambda point: point.air.humidity)
    slackest = min(points, key=lambda point: point.tension.middle)
    if dampest.air.humidity - driest.air.humidity > _WIDE_YEAR:
        yield Advice(
            "backing-board",
            "Screw a backing board on: it slows the change of air behind the canvas, which a wall makes damper or "
            "colder than the room.",
        )
    yield _window_advice(left, window)
    yield _keys(slackest.air) if keyed else _no_keys(driest.air)


def _window_advice(left: float, window: tuple[float, float] | None) -> Advice:
    if window is None:
        return Advice(
            "no-window",
            "No tension at the making keeps the whole year between slack and tight (estimate): steady the air first.",
        )
    now, low, high = (f"{1000 * value:.0f}" for value in (left, *window))
    facts = (("now", f"{now} N/m"), ("from", f"{low} N/m"), ("to", f"{high} N/m"))
    if window[0] <= left <= window[1]:
        return Advice(
            "in-window",
            f"Stretched to {now} N/m the year stays between slack and tight; anything from {low} to {high} N/m would "
            "(estimate).",
            facts,
        )
    how = "more" if left < window[0] else "less"
    return Advice(
        f"stretch-{how}",
        f"Stretch it {how}: from {low} to {high} N/m keeps the year between slack and tight (estimate).",
        facts,
    )


def _keys(slackest: Air) -> Advice:
    most = f"{1000 * named_strain('gesso, yield').strain:.1f} mm"
    when = _named(slackest)
    return Advice(
        "keys",
        f"It is slackest in this air: {when}. Wait for drier air before touching the keys. Open all corners a little "
        f"and evenly, {most} in each metre at most once there is a stiff ground on it, and never to cure a slackness "
        "that the season takes away by itself.",
        (("slackest", when), ("at most in each metre", most)),
    )


def _no_keys(driest: Air) -> Advice:
    drop = f"{100 * canvas_constant('lost in the first days, to').value:.0f} %"
    run = f"{habit('staples in a run').value:.0f}"
    when = _named(driest)
    return Advice(
        "no-keys",
        f"This frame has fixed corners, so there are no keys. If the canvas still flaps in the driest air ({when}), "
        f"stretch it again: lift the staples from the middles outwards, {run} at a time, and pull as before. In the "
        f"first days up to {drop} of the pull goes by itself; judge after a week.",
        (("driest", when), ("lost in the first days, up to", drop), ("staples in a run", run)),
    )
