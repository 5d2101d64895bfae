"""Two strips at the bench that say how hard raw cloth will pull once size or primer has dried.

Both are cut along the same thread, marked, brushed as the canvas will be and left to dry, one lying loose, one hanging
with a mass on it. Loose cloth shrinks most, loaded cloth less; held still it pulls as hard as would just keep it from
shrinking. Between the two strips, and a little beyond, that goes as a straight line.
"""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.errors import Fault, FaultsError, Where
from longpoint.stretching.pull import GRAVITY
from longpoint.stretching.pull_limits import MEASURED_APART
from longpoint.stretching.ranges import Range

READING = 0.5
"""How far a tape may be misread between two marks. [mm] Estimate."""

BEYOND = 3.0
"""How far beyond the strip's own load the line is trusted. [1] Estimate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripsAnswer:
    """What two strips say.

    Attributes:
        loose: By how much the loose strip shrank, as a part.
        hung: By how much the loaded one did; below 0 where it stretched.
        load: Tension of the loaded strip. [N/mm]
        tension: What the cloth pulls, held still. [N/mm]
        far: Whether that lies so far beyond the load that a heavier mass should be hung.
        stiffness: Of the cloth with what was brushed on it, along the strips. [N/mm]
    """

    loose: float
    hung: float
    load: float
    tension: Range
    far: bool
    stiffness: float


def read_strips(*, marks: float, loose: float, hung: float, mass: float, width: float) -> StripsAnswer:
    """What two strips say of the tension that water will bring.

    Args:
        marks: Between the marks before, on both. [mm]
        loose: Between the marks of the loose strip, dry again. [mm]
        hung: Of the loaded one, dry again and still hanging. [mm]
        mass: On it. [kg]
        width: Of the strips. [mm]

    Returns:
        The answer.

    Raises:
        FaultsError: If the measures cannot be, every one that cannot.
    """
    faults = [
        Fault("not-a-measure", f"{name} reads {value:g}.", "Give a measure above 0.", Where(f"--{name}"))
        for name, value in (
            ("marks", marks),
            ("loose", loose),
            ("hung", hung),
            ("mass", mass),
            ("width", width),
        )
        if not value > 0.0
    ]
    if faults:
        raise FaultsError(faults)
    apart = hung - loose
    if loose > 1.02 * marks or loose < 0.7 * marks or abs(hung - marks) > 0.3 * marks:
        faults.append(
            Fault(
                "strips-cannot-be",
                f"marks {marks:g} mm apart cannot come to {loose:g} mm loose and {hung:g} mm hung.",
                "Measure again, all three in one unit.",
                Where("--loose"),
            )
        )
    elif apart < 2 * READING:
        faults.append(
            Fault(
                "strips-too-alike",
                f"the strips differ by {apart:.1f} mm, less than a tape tells apart.",
                "Set the marks further apart or hang a heavier mass, on new strips.",
                Where("--hung"),
            )
        )
    if faults:
        raise FaultsError(faults)
    load = mass * GRAVITY / width

    def held(short: float, long: float) -> float:
        return load * max(marks - short, 0.0) / (long - short)

    tension = held(loose, hung)
    misread = [
        held(loose + a, hung + b)
        for a in (-READING, READING)
        for b in (-READING, READING)
        if hung + b - loose - a > 0.25 * READING
    ]
    return StripsAnswer(
        loose=1 - loose / marks,
        hung=1 - hung / marks,
        load=load,
        tension=Range(
            min(tension / MEASURED_APART, *misread), tension, max(tension * MEASURED_APART, *misread)
        ),
        far=tension > BEYOND * load,
        stiffness=load * marks / (hung - loose),
    )
