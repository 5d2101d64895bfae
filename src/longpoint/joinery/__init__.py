"""How it goes together: screws, holes, glue, what a driver can reach, the order of building, checks on the way."""

from longpoint.joinery.joint import (
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
from longpoint.joinery.placement import BuildOrder, Placement, Stuck
from longpoint.joinery.plan import (
    Aside,
    BuildPlan,
    Hardware,
    JointSheet,
    ScrewCount,
    build_plan_of,
    can_be_screwed,
)
from longpoint.joinery.reach import needed_shift
from longpoint.joinery.steps.step import GlueClock, Step
from longpoint.joinery.strength_of_screws import SOFTWOOD, Wood

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
