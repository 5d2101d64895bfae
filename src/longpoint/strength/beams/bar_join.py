"""What a bar joined in length still bears: a scarf by its slope, a half-lap by the wood left at its shoulders.

A glued scarf bends like whole wood; only its strength is less, the more so the steeper it is. A half-lap halves the
thickness: at each of its two shoulders one half ends in end grain, which bears nothing, and the other half with the
plate glued beside it carries everything. Between the shoulders the two halves hold on to each other by their glued
faces.

Axes of a section are those of a bar: ``across`` into the frame, ``front`` towards the canvas.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from longpoint.errors import OutOfRangeError
from longpoint.strength.beams.joint_stiffness import RIGID_TURN, JointStiffness

SCARF_EFFICIENCY: tuple[tuple[float, float], ...] = ((5.0, 0.60), (8.0, 0.75), (10.0, 0.80), (12.0, 0.85))
"""Length of a plain scarf over what it crosses, and its strength over that of whole wood: joint factors of the older
Wood Handbooks, from memory. The 2010 edition (FPL-GTR-190, 10, read) bears out the ends of the row: 1 in 12 or flatter
gives the most, ten times the section's area is needed to come near whole wood, an end-grain butt
reaches a quarter. A boat-building article (read) quotes 0.65 at 1 in 4 and 0.95 at 1 in 20: the row lies below both."""

BUTT_EFFICIENCY = 0.25
"""An end-grain butt, the steepest scarf there is. Wood Handbook FPL-GTR-190, chapter 10 (read)."""

SHOULDER_GIVE = 1.3
"""Length over which wood beside a shoulder is not yet at work again, over the bar's thickness. [1] Computed: in the
canvas plane a plain lap turns as much as a plane-stress strip of softwood (E : E across : G = 30 : 1 : 1.9); of a
material alike in all directions it would be 0.5."""


def scarf_efficiency(slope: float) -> float:
    """Strength of a glued plain scarf over that of whole wood.

    Between the rows of `SCARF_EFFICIENCY` it goes straight; steeper than the first it falls to a butt's.

    Args:
        slope: Length over what the scarf crosses, 0 or more. [1]

    Raises:
        OutOfRangeError: If the slope is below 0.
    """
    if not slope >= 0:
        msg = f"a scarf's slope is its length over what it crosses, 0 or more; got {slope:g}"
        raise OutOfRangeError(msg)
    rows = ((0.0, BUTT_EFFICIENCY), *SCARF_EFFICIENCY)
    for (low, less), (high, more) in pairwise(rows):
        if slope <= high:
            return less + (more - less) * (slope - low) / (high - low)
    return rows[-1][1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rectangle:
    """A rectangle of wood in a section.

    Attributes:
        across: Its middle. [mm]
        front: Its middle. [mm]
        thickness: Along across. [mm]
        depth: Along front. [mm]
    """

    across: float
    front: float
    thickness: float
    depth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftSection:
    """What is left of a section where part of it ends, glued into one.

    Attributes:
        area: [mm²]
        moment_across: Second moment in the canvas plane. [mm⁴]
        moment_front: Second moment off the wall. [mm⁴]
        torsion: Sum of the rectangles' own torsion constants, not working together: never too high. [mm⁴]
        far_across: From its centroid to the farthest fibre. [mm]
        far_front: [mm]
        centroid: Across and front. [mm]
    """

    area: float
    moment_across: float
    moment_front: float
    torsion: float
    far_across: float
    far_front: float
    centroid: tuple[float, float]


def left_section(pieces: tuple[Rectangle, ...]) -> LeftSection:
    """Rectangles that bend as one.

    The product of inertia is left out: each moment is taken about its own axis.

    Args:
        pieces: The rectangles, one at least.
    """
    area = sum(p.thickness * p.depth for p in pieces)
    a = sum(p.thickness * p.depth * p.across for p in pieces) / area
    f = sum(p.thickness * p.depth * p.front for p in pieces) / area
    return LeftSection(
        area=area,
        moment_across=sum(
            p.depth * p.thickness**3 / 12 + p.thickness * p.depth * (p.across - a) ** 2 for p in pieces
        ),
        moment_front=sum(
            p.thickness * p.depth**3 / 12 + p.thickness * p.depth * (p.front - f) ** 2 for p in pieces
        ),
        torsion=sum(_torsion(p.thickness, p.depth) for p in pieces),
        far_across=max(abs(p.across - a) + p.thickness / 2 for p in pieces),
        far_front=max(abs(p.front - f) + p.depth / 2 for p in pieces),
        centroid=(a, f),
    )


def _torsion(one: float, two: float) -> float:
    """Torsion constant of a rectangle. Roark's Formulas for Stress and Strain, from memory, within 4 %. [mm⁴]"""
    long, short = max(one, two) / 2, min(one, two) / 2
    return float(long * short**3 * (16 / 3 - 3.36 * short / long * (1 - short**4 / (12 * long**4))))


@dataclass(frozen=True, slots=True, kw_only=True)
class LapShape:
    """A half-lap with a plate.

    Attributes:
        thickness: Of the bar. [mm]
        depth: Of the bar, the bevel taken off in the mean. [mm]
        length: Of the lap along the bar. [mm]
        plate_thickness: 0 for none. [mm]
        plate_depth: [mm]
        plate_front: The plate's middle above the bar's middle, along front. [mm]
    """

    thickness: float
    depth: float
    length: float
    plate_thickness: float = 0.0
    plate_depth: float = 0.0
    plate_front: float = 0.0

    def shoulders(self) -> tuple[LeftSection, LeftSection]:
        """What carries at the shoulder where the inner half ends, and where the outer one does."""
        half = self.thickness / 2
        plate = Rectangle(
            across=half + self.plate_thickness / 2,
            front=self.plate_front,
            thickness=self.plate_thickness,
            depth=self.plate_depth,
        )
        beside = (plate,) if self.plate_thickness > 0 else ()
        outer = Rectangle(across=-half / 2, front=0.0, thickness=half, depth=self.depth)
        inner = Rectangle(across=half / 2, front=0.0, thickness=half, depth=self.depth)
        return left_section((outer, *beside)), left_section((inner, *beside))


def lap_springs(
    lap: LapShape, *, modulus: float, shear_modulus: float, whole: tuple[float, float, float]
) -> JointStiffness:
    """Springs that a half-lap puts into a bar: how much more it bends there than whole wood.

    Beside each shoulder, over `SHOULDER_GIVE` thicknesses, only what is left there bends; the difference to the whole
    bar, of both shoulders together, is put into one place. Where what is left is stiffer than the bar, nothing is
    added and nothing taken off.

    Args:
        lap: Its shape.
        modulus: Of the bar. [MPa]
        shear_modulus: Of the bar. [MPa]
        whole: Second moments of the whole bar in the canvas plane and off the wall, and its torsion constant. [mm⁴]
    """
    give = SHOULDER_GIVE * lap.thickness
    left = lap.shoulders()

    def spring(stiff: float, of_whole: float, of_left: tuple[float, float]) -> float:
        more = sum(max(1 / part - 1 / of_whole, 0.0) for part in of_left) * give / stiff
        return min(1 / more, RIGID_TURN) if more > 0 else RIGID_TURN

    return JointStiffness(
        in_plane=spring(modulus, whole[0], (left[0].moment_across, left[1].moment_across)),
        out_of_plane=spring(modulus, whole[1], (left[0].moment_front, left[1].moment_front)),
        torsion=spring(shear_modulus, whole[2], (left[0].torsion, left[1].torsion)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinFace:
    """One join as its verdict needs it.

    Attributes:
        bar: Name of the bar.
        start: From the bar's start on its node line. [mm]
        stop: [mm]
        lap: Its shape; None for a scarf.
        efficiency: Of a scarf; 1 for a half-lap, which is judged by what is left of it. [1]
        bending_bears: Bending stress that whole wood may bear while stretching. [MPa]
        shear_bears: Shear stress along the grain, in wood and in glue between side grains. [MPa]
        peel_bears: Stress square to the grain. [MPa]
    """

    bar: str
    start: float
    stop: float
    lap: LapShape | None
    efficiency: float
    bending_bears: float
    shear_bears: float
    peel_bears: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedForces:
    """What a bar carries at a place, about its centroid.

    Attributes:
        axial: Positive in tension. [N]
        shear_in_plane: [N]
        shear_front: [N]
        torque: [N mm]
        moment_in_plane: [N mm]
        moment_front: [N mm]
    """

    axial: float
    shear_in_plane: float
    shear_front: float
    torque: float
    moment_in_plane: float
    moment_front: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinStress:
    """What a join is asked for, each beside what wood bears.

    Attributes:
        bending: Bending and thrust together, efficiency counted in. [MPa]
        shear: In the wood, or in the glued faces of a lap. [MPa]
        peel: Pull square to the glued faces of a lap; 0 for a scarf. [MPa]
    """

    bending: float
    shear: float
    peel: float = 0.0


def lap_stress(lap: LapShape, forces: CarriedForces) -> JoinStress:
    """Stresses in a half-lap: at the worse shoulder, and in the glued faces between them.

    Thrust runs along the bar's middle and has a lever to what is left at a shoulder. The glued faces lie upright along
    the bar: a moment off the wall and thrust shear them, a moment in the canvas plane peels them at their ends. What
    the plate takes of the peel is left out.

    Args:
        lap: Its shape.
        forces: What the bar carries there, the worst of its length.
    """
    bending = shear = 0.0
    for left in lap.shoulders():
        turn_across = abs(forces.moment_in_plane) + abs(forces.axial * left.centroid[0])
        turn_front = abs(forces.moment_front) + abs(forces.axial * left.centroid[1])
        bending = max(
            bending,
            abs(forces.axial) / left.area
            + turn_across * left.far_across / left.moment_across
            + turn_front * left.far_front / left.moment_front,
        )
        shear = max(
            shear,
            1.5 * hypot(forces.shear_in_plane, forces.shear_front) / left.area
            + abs(forces.torque) * min(lap.thickness / 2, lap.depth) / left.torsion,
        )
    face = lap.length * lap.depth
    polar = face * (lap.length**2 + lap.depth**2) / 12
    slide = abs(forces.moment_front) * hypot(lap.length, lap.depth) / 2 / polar
    slide += (abs(forces.axial) + abs(forces.shear_front)) / face
    peel = 6 * abs(forces.moment_in_plane) / (lap.depth * lap.length**2) + abs(forces.shear_in_plane) / face
    return JoinStress(bending=bending, shear=max(shear, slide), peel=peel)


def scarf_stress(
    forces: CarriedForces,
    *,
    efficiency: float,
    area: float,
    moments: tuple[float, float],
    far: tuple[float, float],
    torsion: float,
    thickness: float,
) -> JoinStress:
    """Stresses in a glued scarf, raised by what it bears less than whole wood.

    Args:
        forces: What the bar carries there, the worst of its length.
        efficiency: From `scarf_efficiency`.
        area: Of the bar. [mm²]
        moments: Second moments in the canvas plane and off the wall. [mm⁴]
        far: Farthest fibres across and front. [mm]
        torsion: Torsion constant. [mm⁴]
        thickness: The lesser of the bar's sizes. [mm]
    """
    bending = (
        abs(forces.axial) / area
        + abs(forces.moment_in_plane) * far[0] / moments[0]
        + abs(forces.moment_front) * far[1] / moments[1]
    )
    shear = 1.5 * hypot(forces.shear_in_plane, forces.shear_front) / area
    shear += abs(forces.torque) * thickness / torsion
    return JoinStress(bending=bending / efficiency, shear=shear / efficiency)
