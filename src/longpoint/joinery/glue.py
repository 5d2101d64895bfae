"""Glue and sundries: beads, grams, how long there is, and what else lies on the bench."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from longpoint.joinery.joints.joint import Joint, JointKind
from longpoint.tables.finishing import wood_glue

BEAD_SERVES = 20
"""Width of face that one bead covers once rubbed out; estimate. [mm]"""
SQUEEZED = 1.15
"""What oozes out and stays in the brush: oozing glue shows a close joint; estimate."""
FILLER_PER_HEAD = 0.4
"""Filler in one sunk head; estimate. [g]"""
SANDING_PER_SHEET = 12_000
"""Length of edge one sheet of sandpaper eases; estimate. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueLine:
    """Glue of one kind of joint in one frame.

    Attributes:
        kind: The kind of joint.
        joints: How many of it.
        bead: Length of all its beads. [mm]
        area: Of all its faces. [mm²]
        grams: Of liquid glue, an estimate. [g]
    """

    kind: JointKind
    joints: int
    bead: Fraction
    area: Fraction
    grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sundry:
    """A small thing the bench needs.

    Attributes:
        name: What.
        amount: How much; an estimate.
        unit: Of the amount.
        purpose: For what.
    """

    name: str
    amount: float
    unit: str
    purpose: str


def beads(width: Fraction) -> int:
    """How many beads a face takes."""
    return max(math.ceil(width / BEAD_SERVES), 1)


def glue_lines(joints: Iterable[Joint], *, kind_of_glue: str = "PVA") -> tuple[GlueLine, ...]:
    """Glue by kind of joint.

    End grain drinks: it is sized with a first coat, so each face of end grain counts once more.

    Args:
        joints: The joints of one frame.
        kind_of_glue: Row of the table of wood glues; the middle of its spread is taken.
    """
    row = wood_glue(kind_of_glue)
    spread = (row.spread_low + row.spread_high) / 2 / 1e6  # [g/mm²]
    found: dict[JointKind, GlueLine] = {}
    for joint in joints:
        if not joint.glue:
            continue
        before = found.get(joint.kind)
        bead = sum((face.length * beads(face.width) for face in joint.glue), Fraction(0))
        area = sum((face.area for face in joint.glue), Fraction(0))
        coats = sum(float(face.area) * (1 + face.end_grain) for face in joint.glue)
        grams = coats * spread * SQUEEZED
        found[joint.kind] = GlueLine(
            kind=joint.kind,
            joints=1 + (before.joints if before else 0),
            bead=bead + (before.bead if before else 0),
            area=area + (before.area if before else 0),
            grams=grams + (before.grams if before else 0.0),
        )
    return tuple(found.values())


def spread_minutes(joint: Joint) -> float:
    """How long it takes to spread the glue of one joint: 0.3 min and 1.2 min per metre of bead; estimate. [min]"""
    bead = sum(float(face.length) * beads(face.width) for face in joint.glue)
    return 0.3 + 1.2 * bead / 1000.0 if joint.glue else 0.0


def sundries_of(joints: Iterable[Joint], *, lip: Fraction) -> tuple[Sundry, ...]:
    """Filler, sandpaper and what wipes.

    Args:
        joints: The joints of one frame.
        lip: Length of the lip all round. [mm]
    """
    every = tuple(joints)
    heads = sum(fixing.under_canvas for joint in every for fixing in joint.fixings)
    found = []
    if heads:
        found.append(
            Sundry(
                name="wood filler",
                amount=round(heads * FILLER_PER_HEAD, 1),
                unit="g",
                purpose=f"over {heads} sunk heads under canvas",
            )
        )
    found.append(
        Sundry(
            name="sandpaper, 120 grit",
            amount=max(math.ceil(4 * lip / SANDING_PER_SHEET), 1),
            unit="sheets",
            purpose="lip, corners and burrs eased wherever canvas will lie",
        )
    )
    if any(joint.glue for joint in every):
        found.append(
            Sundry(
                name="damp rag and a bowl of water",
                amount=1,
                unit="",
                purpose="wipe off what oozes before it sets; glue left on seals the wood and shows as a ridge",
            )
        )
    return tuple(found)
