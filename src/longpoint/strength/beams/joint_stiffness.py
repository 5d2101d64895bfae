"""How stiff a joint is: slip of screws, glue, and the turning stiffness that follows from them.

In the canvas plane a joint lies in a band from screws alone to a glued block. About a bar's own axis and out of
plane a joint has its own stiffness and is never free: a rail free to spin is a mechanism.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from longpoint.errors import OutOfRangeError

#: Stands for rigid: far above any timber end, low enough to keep the numbers clean. [N mm/rad]
RIGID_TURN = 1e11
#: Stands for parts that touch and cannot slide. [N/mm]
RIGID_SLIP = 1e8


@dataclass(frozen=True, slots=True, kw_only=True)
class JointStiffness:
    """Springs of one joint, in the axes of the member that ends there.

    Attributes:
        in_plane: Turning in the canvas plane. [N mm/rad]
        out_of_plane: Turning that lets the member's end tip off the wall. [N mm/rad]
        torsion: Turning about the member's own axis. [N mm/rad]
        slip: Sliding along, across and front. [N/mm]
        capacity: Moment in the canvas plane that the joint can bear; infinite where it is not judged. [N mm]
    """

    in_plane: float
    out_of_plane: float
    torsion: float
    slip: tuple[float, float, float] = (RIGID_SLIP, RIGID_SLIP, RIGID_SLIP)
    capacity: float = float("inf")

    def __post_init__(self) -> None:
        if self.in_plane < 0 or not (self.out_of_plane > 0 and self.torsion > 0 and min(self.slip) > 0):
            msg = (
                "a joint may turn freely only in the canvas plane (0); out of plane, about the member's own "
                "axis and in sliding its stiffness must be above 0"
            )
            raise OutOfRangeError(msg)

    @property
    def springs(self) -> tuple[float, float, float, float, float, float]:
        """Sliding along, across and front [N/mm], turning about along, across and front [N mm/rad]."""
        return (*self.slip, self.torsion, self.out_of_plane, self.in_plane)

    def in_the_long_run(self, creep: float) -> JointStiffness:
        """The joint after years: divided by 1 + 2 creep (EN 1995-1-1 2.3.2.2 and 3.1.4, from memory)."""
        give = 1.0 + 2.0 * creep
        return replace(
            self,
            in_plane=self.in_plane / give,
            out_of_plane=self.out_of_plane / give,
            torsion=self.torsion / give,
            slip=(self.slip[0] / give, self.slip[1] / give, self.slip[2] / give),
        )


RIGID = JointStiffness(in_plane=RIGID_TURN, out_of_plane=RIGID_TURN, torsion=RIGID_TURN)
#: Free to turn in the canvas plane, rigid otherwise: the lower edge of every band.
HINGED = JointStiffness(in_plane=0.0, out_of_plane=RIGID_TURN, torsion=RIGID_TURN)


def screw_slip(*, density: float, diameter: float) -> float:
    """Sideways stiffness of one screw through one joint face.

    Args:
        density: Mean density of the timber. [kg/m³]
        diameter: Shank diameter. [mm]

    Returns:
        K_ser. [N/mm]

    Raises:
        OutOfRangeError: If density or diameter is not above 0.

    References:
        EN 1995-1-1 Table 7.1: K_ser = ρ_m^1.5 d / 23.
    """
    if not (density > 0 and diameter > 0):
        msg = f"density {density:g} kg/m³ and screw diameter {diameter:g} mm must be above 0"
        raise OutOfRangeError(msg)
    return float(density**1.5 * diameter / 23.0)


def screwed_joint(
    *,
    density: float,
    diameter: float,
    count: int,
    spread_in_plane: float,
    spread_front: float,
    screw_bears: float = float("inf"),
) -> JointStiffness:
    """A joint that its screws alone hold.

    Args:
        density: Mean density. [kg/m³]
        diameter: Screw diameter. [mm]
        count: Screws, at least 1.
        spread_in_plane: Root mean square distance of the turning reactions (screws, end contact) in the canvas
            plane; about half the thickness of the member's end. [mm]
        spread_front: The same off the wall; about a third of the depth. [mm]
        screw_bears: Force that one screw can bear; infinite where it is not judged. [N]

    Returns:
        The joint: each turning stiffness is the screws' slip stiffness times distance squared. The ends are
        taken to touch, so they do not slide into one another.
    """
    slip = screw_slip(density=density, diameter=diameter) * count
    both = slip * (spread_in_plane**2 + spread_front**2)
    return JointStiffness(
        in_plane=slip * spread_in_plane**2,
        out_of_plane=slip * spread_front**2,
        torsion=both,
        slip=(RIGID_SLIP, slip, slip),
        capacity=screw_bears * count * spread_in_plane,
    )


def glued_joint(
    *,
    modulus: float,
    moment_in_plane: float,
    moment_front: float,
    give: float,
    capacity: float = float("inf"),
) -> JointStiffness:
    """A joint whose glued faces or block make it bend like a short piece of the timber itself.

    Args:
        modulus: Stiffness along the grain. [MPa]
        moment_in_plane: Second moment of the member's end in the canvas plane. [mm⁴]
        moment_front: Second moment off the wall. [mm⁴]
        give: Length of member that bends as much as the joint turns; about one depth for a glued block
            (estimate). [mm]
        capacity: Moment in the canvas plane that it can bear; infinite where it is not judged. [N mm]

    Returns:
        The joint.

    Raises:
        OutOfRangeError: If ``give`` is not above 0.
    """
    if not give > 0:
        msg = f"the joint's give is {give:g} mm; give a length above 0"
        raise OutOfRangeError(msg)
    smaller = min(moment_in_plane, moment_front)
    return JointStiffness(
        in_plane=modulus * moment_in_plane / give,
        out_of_plane=modulus * moment_front / give,
        torsion=modulus * smaller / (4 * give),
        capacity=capacity,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamStiffness:
    """How two members lying side by side hold on to each other, per length of seam.

    Attributes:
        along: Against sliding along the grain. [N/mm per mm]
        across: Against parting in the canvas plane. [N/mm per mm]
        front: Against sliding off the wall. [N/mm per mm]
        torsion: Against the one rolling on the other. [N mm/rad per mm]
    """

    along: float
    across: float
    front: float
    torsion: float

    def __post_init__(self) -> None:
        if not min(self.along, self.across, self.front, self.torsion) > 0:
            msg = "a seam must hold in every direction; give stiffness above 0"
            raise OutOfRangeError(msg)

    def in_the_long_run(self, creep: float) -> SeamStiffness:
        """The seam after years: divided by 1 + 2 creep, as a joint."""
        give = 1.0 + 2.0 * creep
        return SeamStiffness(
            along=self.along / give,
            across=self.across / give,
            front=self.front / give,
            torsion=self.torsion / give,
        )


def glued_seam(*, shear_modulus: float, height: float, thickness: float) -> SeamStiffness:
    """A rail glued along a bar: the glue line is as stiff as a layer of timber.

    Args:
        shear_modulus: Shear stiffness of the timber. [MPa]
        height: Height of the glued faces. [mm]
        thickness: Thickness of timber that shears as much as the seam; a tenth of the rail's thickness is a
            cautious choice (estimate). [mm]

    Returns:
        The seam.
    """
    if not (height > 0 and thickness > 0):
        msg = f"the seam's height {height:g} mm and thickness {thickness:g} mm must be above 0"
        raise OutOfRangeError(msg)
    shear = shear_modulus * height / thickness
    press = 10.0 * shear
    return SeamStiffness(along=shear, across=press, front=shear, torsion=press * height**2 / 12)
