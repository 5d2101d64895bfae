"""How it goes together: screws, holes, glue, what a driver can reach, the order of building, checks on the way."""

from longpoint.joinery.joints.joint import (
    Bolt,
    Dowel,
    ExtraPiece,
    Fixing,
    GlueFace,
    HoleMark,
    Joint,
    JointKind,
    RuleCheck,
    ScrewSize,
)
from longpoint.joinery.order.placement import BuildOrder, Placement, Stuck
from longpoint.joinery.order.reach import needed_shift
from longpoint.joinery.plan import (
    Aside,
    BuildPlan,
    Hardware,
    JointSheet,
    ScrewCount,
    build_plan_of,
    can_be_screwed,
)
from longpoint.joinery.screws.strength import SOFTWOOD, Wood
from longpoint.joinery.steps.step import GlueClock, Step

__all__ = [
    "SOFTWOOD",
    "Aside",
    "Bolt",
    "BuildOrder",
    "BuildPlan",
    "Dowel",
    "ExtraPiece",
    "Fixing",
    "GlueClock",
    "GlueFace",
    "Hardware",
    "HoleMark",
    "Joint",
    "JointKind",
    "JointSheet",
    "Placement",
    "RuleCheck",
    "ScrewCount",
    "ScrewSize",
    "Step",
    "Stuck",
    "Wood",
    "build_plan_of",
    "can_be_screwed",
    "needed_shift",
]
