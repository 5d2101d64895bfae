"""What screws may be counted on for: distances, withdrawal and lateral values by a named rule.

Distances follow EN 1995-1-1 Table 8.2, pre-drilled; withdrawal follows the Wood Handbook and NDS; the lateral value
follows the Johansen equations of EN 1995-1-1 8.2.2 (single shear, timber on timber) without the rope effect, with
the embedding strength of 8.3.1.1 (pre-drilled) and a screw's effective diameter of 8.7.1. End grain is
never counted (NDS).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from longpoint.errors import OutOfRangeError
from longpoint.frame.members import Frame, Kind, Member
from longpoint.joinery.joints.joint import Fixing, JointKind, RuleCheck
from longpoint.tables.fasteners import screw_rule, screw_spacing
from longpoint.tables.withdrawal import screw_withdrawal, screw_withdrawal_allowed

EC5 = "EN 1995-1-1 Table 8.2, pre-drilled"
PENETRATION = "NDS 2018 12.1.5.6 and EN 1995-1-1 8.7.2"
SCREW_STRENGTH = 400.0
"""Tensile strength of a plain steel wood screw, low; estimate. [MPa]"""
FACTOR = 0.60 / 1.3
"""k_mod 0.60 (permanent load, service class 1) over γ_M 1.3: EN 1995-1-1 Table 3.1 (read in a
handbook, see the table of load durations) and Table 2.3, recommended value (read; national annexes may differ)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wood:
    """The wood the joints are made in.

    Attributes:
        kind: softwood or hardwood, for the lead hole.
        density: Characteristic density, the low one of the class. [kg/m³]
        specific_gravity: Oven-dry mass over volume at 12 % moisture. [1]
        assigned_gravity: The specific gravity NDS assigns; None: the other is used, which is a little low. [1]
    """

    kind: Literal["softwood", "hardwood"] = "softwood"
    density: float = 310.0
    specific_gravity: float = 0.35
    assigned_gravity: float | None = None


SOFTWOOD = Wood()
"""C16 (EN 338: 310 kg/m³), specific gravity of a light pine: what an unknown softwood is taken for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lateral:
    """What one screw carries sideways.

    Attributes:
        characteristic: By the Johansen equations, the least of six. [N]
        design: The same times k_mod over γ_M, permanent load. [N]
        mode: Letter of the equation that decides: a to f of EN 1995-1-1 (8.6).
    """

    characteristic: float
    design: float
    mode: str


def lateral_value(
    *, diameter: float, held: float, received: float, density: float, strength: float = SCREW_STRENGTH
) -> Lateral:
    """What one screw through one member into another carries sideways, single shear.

    Args:
        diameter: Of the shank, 2 to 8. [mm]
        held: Timber it passes. [mm]
        received: Its length in the receiving member. [mm]
        density: Characteristic density of both. [kg/m³]
        strength: Tensile strength of the screw. [MPa]

    Raises:
        OutOfRangeError: If a number lies outside what the equations hold for.

    References:
        EN 1995-1-1 (8.6) a to f without rope effect, read in a public tutorial on the shear capacity
        of timber connections; (8.14) for round fasteners M_y = 0.3 f_u d^2.6 and 8.7.1 d_ef = 1.1 × root,
        read in Porteous & Kermani, Structural Timber Design to Eurocode 5, Tables 10.5 and 10.3; (8.16)
        f_h = 0.082 (1 − 0.01 d) ρ, read in four open-source structural programs.
    """
    if not 2.0 <= diameter <= 8.0:
        msg = f"The lateral value holds for screws of 2 to 8 mm, not {diameter:g} mm."
        raise OutOfRangeError(msg)
    if held <= 0.0 or density <= 0.0:
        msg = "Thickness held and density must be above 0."
        raise OutOfRangeError(msg)
    if received <= 0.0:
        return Lateral(characteristic=0.0, design=0.0, mode="b")
    effective = 1.1 * screw_rule("root over shank").value * diameter
    embedding = 0.082 * (1.0 - 0.01 * effective) * density
    yield_moment = 0.3 * strength * effective**2.6
    t1, t2 = held, received
    ratio = t2 / t1
    a = embedding * t1 * effective
    modes = {
        "a": a,
        "b": embedding * t2 * effective,
        "c": a / 2.0 * (math.sqrt(1.0 + 2.0 * (1.0 + ratio + ratio**2) + ratio**2) - (1.0 + ratio)),
        "d": 1.05 * a / 3.0 * (math.sqrt(4.0 + 12.0 * yield_moment / (embedding * effective * t1**2)) - 1.0),
        "e": 1.05
        * embedding
        * t2
        * effective
        / 3.0
        * (math.sqrt(4.0 + 12.0 * yield_moment / (embedding * effective * t2**2)) - 1.0),
        "f": 1.15 * math.sqrt(2.0 * yield_moment * embedding * effective),
    }
    mode = min(modes, key=lambda letter: (modes[letter], letter))
    return Lateral(characteristic=modes[mode], design=modes[mode] * FACTOR, mode=mode)


def plate_lateral(
    *, diameter: float, received: float, density: float, strength: float = SCREW_STRENGTH
) -> float:
    """What one screw through a thin steel plate into timber carries sideways, permanent load. [N]

    Args:
        diameter: Of the shank, 2 to 8. [mm]
        received: Its length in the timber. [mm]
        density: Characteristic density of the timber. [kg/m³]
        strength: Tensile strength of the screw. [MPa]

    Raises:
        OutOfRangeError: If the diameter lies outside what the equations hold for.

    References:
        EN 1995-1-1 (8.9), plate at most half a diameter thick, without rope effect (from memory); embedding and
        yield moment as in `lateral_value`.
    """
    if not 2.0 <= diameter <= 8.0:
        msg = f"The lateral value holds for screws of 2 to 8 mm, not {diameter:g} mm."
        raise OutOfRangeError(msg)
    effective = 1.1 * screw_rule("root over shank").value * diameter
    embedding = 0.082 * (1.0 - 0.01 * effective) * density
    yield_moment = 0.3 * strength * effective**2.6
    bends = 1.15 * math.sqrt(2.0 * yield_moment * embedding * effective)
    return FACTOR * min(0.4 * embedding * received * effective, bends)


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal:
    """What one screw holds along its axis.

    Attributes:
        ultimate: Mean of tests, Wood Handbook. [N]
        allowed: NDS. [N]
        counted: Whether it may be counted on: never in end grain.
    """

    ultimate: float
    allowed: float
    counted: bool


def withdrawal_of(fixing: Fixing, *, wood: Wood) -> Withdrawal:
    """What a screw holds along its axis.

    In end grain the values are shown for information at half (estimate; the Wood Handbook says about three
    quarters, NDS nothing at all) and are not counted.
    """
    diameter = float(fixing.screw.diameter)
    tip = screw_rule("tip not counted").value * diameter
    thread = max(float(fixing.thread) - tip, 0.0)
    gravity = wood.assigned_gravity or wood.specific_gravity
    ultimate = screw_withdrawal(
        specific_gravity=wood.specific_gravity, diameter=diameter, thread_in_wood=thread
    )
    allowed = screw_withdrawal_allowed(assigned_gravity=gravity, diameter=diameter, thread_in_wood=thread)
    side = fixing.grain == "side grain"
    share = 1.0 if side else screw_rule("end grain, for information").value
    return Withdrawal(ultimate=share * ultimate, allowed=share * allowed, counted=side)


def is_counted(kind: JointKind, fixings: tuple[Fixing, ...], checks: tuple[RuleCheck, ...]) -> bool:
    """Whether the screws of a joint may be counted on: their rule is one for strength and every number keeps it."""
    wanted = any(fixing.duty == "counted on for strength" for fixing in fixings)
    return wanted and all(check.holds for check in checks)


def checks_of(
    frame: Frame, kind: JointKind, fixings: tuple[Fixing, ...], *, wood: Wood
) -> tuple[RuleCheck, ...]:
    """The numbers of a joint's screws against the rule of their kind.

    Args:
        frame: The frame.
        kind: Kind of joint.
        fixings: Its screws, in their places.
        wood: The wood.

    Returns:
        For side-grain joints the distances of EN 1995-1-1 in every member, and the penetration; for end-grain
        joints the trade's rule: thread, and timber beside the screw.
    """
    found: list[RuleCheck] = []
    names = {member.name for member in frame.members}
    by_rule = [fixing for fixing in fixings if fixing.grain == "side grain"]
    for fixing in by_rule:
        diameter = float(fixing.screw.diameter)
        found.append(
            RuleCheck(
                what="thread in the receiving part",
                value=float(fixing.thread),
                limit=screw_rule("least penetration, lateral").value * diameter,
                unit="mm",
                at_most=False,
                rule=PENETRATION,
            )
        )
        for name in fixing.members:
            if name in names:
                found += _distances(frame, frame.named(name), fixing)
    for name in sorted({name for fixing in by_rule for name in fixing.members} & names):
        found += _spacings(frame.named(name), [fixing for fixing in by_rule if name in fixing.members])
    for fixing in fixings:
        if fixing.grain == "end grain":
            found.append(
                RuleCheck(
                    what="thread in the end grain",
                    value=float(fixing.thread),
                    limit=6.0 * float(fixing.screw.diameter),
                    unit="mm",
                    at_most=False,
                    rule="workshop rule: 10 d wished, 6 d least (from memory)",
                )
            )
    return _worst(found)


def _distances(frame: Frame, member: Member, fixing: Fixing) -> list[RuleCheck]:
    """End and edge distances of one screw in one member."""
    diameter = float(fixing.screw.diameter)
    rule = screw_spacing(diameter=diameter, angle=0.0, predrilled=True)
    position, edge = _on_member(member, fixing)
    # A mitred bar ends, for a screw in the middle of its thickness, half a thickness short of its long point.
    short = float(member.thickness) / 2 if member.kind is Kind.BAR and "mitre" in frame.design.corner else 0.0
    end = min(position, float(member.length) - position) - short
    return [
        RuleCheck(what="end distance", value=end, limit=rule.free_end, unit="mm", at_most=False, rule=EC5),
        RuleCheck(what="edge distance", value=edge, limit=rule.free_edge, unit="mm", at_most=False, rule=EC5),
    ]


def _on_member(member: Member, fixing: Fixing) -> tuple[float, float]:
    """Where a screw stands along a member, and its least distance from an edge of the face it enters. [mm]"""
    x, y, z = (float(value) for value in fixing.start)
    along, across = (x, y) if member.axis == "x" else (y, x)
    if fixing.axis[2]:
        edge = min(across - float(member.low), float(member.high) - across)
    else:
        edge = min(z - float(member.back), float(member.front) - z)
    return along - float(member.start), edge


def _spacings(member: Member, fixings: list[Fixing]) -> list[RuleCheck]:
    """Least distance between neighbours along the grain."""
    at = sorted((_on_member(member, fixing)[0], float(fixing.screw.diameter)) for fixing in fixings)
    found = []
    for (here, thick), (there, other) in pairwise(at):
        rule = screw_spacing(diameter=max(thick, other), angle=0.0, predrilled=True)
        found.append(
            RuleCheck(
                what="between neighbours along the grain",
                value=there - here,
                limit=rule.along_grain,
                unit="mm",
                at_most=False,
                rule=EC5,
            )
        )
    return found


def _worst(checks: list[RuleCheck]) -> tuple[RuleCheck, ...]:
    """Of each number the one nearest to its limit, or furthest beyond it."""
    worst: dict[tuple[str, str], RuleCheck] = {}
    for check in checks:
        known = worst.get((check.what, check.rule))
        if known is None or check.value - check.limit < known.value - known.limit:
            worst[(check.what, check.rule)] = check
    return tuple(worst.values())
