"""A frame as the strength engine sees it: members on their axes, joints where faces meet, seams, cloth, climate.

Derived from the finished frame and nothing else: whatever abuts in the frame is joined in the model, so every
layout that can be drawn can be computed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from longpoint.frame.design import FrameDesign
from longpoint.frame.members import Frame, Kind
from longpoint.frame.members import Member as FrameMember
from longpoint.jobs.wood import Wood, wood_named
from longpoint.model.batch import Batch
from longpoint.model.works import Work
from longpoint.strength.frame_model import Joint, Member, Place, Seam
from longpoint.strength.joint_stiffness import (
    JointStiffness,
    SeamStiffness,
    glued_joint,
    glued_seam,
    screwed_joint,
)
from longpoint.strength.membrane import Cloth
from longpoint.strength.section import Section, bevelled_section, rectangle_section
from longpoint.strength.support_case import BAR_PIECES, FramePieces
from longpoint.strength.timber import Timber
from longpoint.strength.verdict_cases import (
    Bay,
    CornerFace,
    LowEdge,
    WorkCase,
)
from longpoint.stretching.climate import Air, tension_in
from longpoint.tables import (
    ClothState,
    cloth_state,
    coating,
    creep,
    limit,
    load_duration,
    named_tension,
    safety,
    strength_class,
)

SCREWS_AT_RAIL_END = 2
"""Screws one above the other that hold the end of a rail. Common practice, no published source."""

SCREWS_AT_CORNER = 2
"""Screws through a mitre. Common practice, no published source."""

SCREW = 4.5
"""Shank of those screws where nothing is known of them. [mm] Estimate."""

GLUE_SHARE: dict[str, float] = {
    "mitre": 0.5,
    "keyed mitre": 0.0,
    "mitre with gusset": 0.85,
    "mitre with glue block": 1.0,
    "half-lap": 1.0,
}
"""Where a corner lies between screws alone (0) and a glued block (1), on a logarithmic scale. Estimate."""

SERVICE_STATE = {"raw": "acrylic-primed", "glue-sized": "acrylic-primed", "primed": "acrylic-primed"}
"""State of a cloth once painted, by the state it is sold in."""

STRETCHED_STATE = {"raw": "raw, stretched", "glue-sized": "glue-sized", "primed": "acrylic-primed"}
"""State of a cloth while it is stretched, by the state it is sold in."""


@dataclass(frozen=True, slots=True)
class Makes:
    """What a work is made of, as the engine needs it.

    Attributes:
        bars: Timber of the bars.
        rails: Timber of the rails.
        raw: Cloth while stretched.
        settled: Cloth in service.
        raw_state: Its row in the tables.
        settled_state: Its row in the tables.
    """

    bars: Wood
    rails: Wood
    raw: Cloth
    settled: Cloth
    raw_state: ClothState
    settled_state: ClothState


def makes_of(batch: Batch, work: Work, *, bars: str, rails: str) -> Makes:
    """What a work is made of.

    Args:
        batch: The batch.
        work: The work.
        bars: Timber of the bars, by name.
        rails: Timber of the rails, by name.
    """
    wish = batch.cloth_of(work)
    named = [roll for roll in batch.roll if wish.roll in ("auto", roll.name)]
    mass = max((roll.mass for roll in named), default=340.0)
    sold = named[0].state if named else "raw"
    if wish.warp == "long side":
        warp = "x" if work.width > work.height else "y"
    else:
        warp = "y" if wish.warp == "up" else "x"
    raw, settled = cloth_state(STRETCHED_STATE[sold]), cloth_state(SERVICE_STATE[sold])
    paint = batch.primer.coats * coating("acrylic primer").dry_film if _knows_film() else 0.1 * batch.primer.coats
    return Makes(
        bars=wood_named(bars),
        rails=wood_named(rails),
        raw=_cloth(raw, warp, mass / 1000),
        settled=_cloth(settled, warp, mass / 1000 + paint),
        raw_state=raw,
        settled_state=settled,
    )
