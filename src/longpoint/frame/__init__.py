"""The frame as a thing: bars, rails and middle pieces in space, and the finished parts they become."""

from longpoint.frame.design import BarJoin, FrameDesign, JoinKind, Side, even_rails, strings_of
from longpoint.frame.faults import design_faults
from longpoint.frame.members import Frame, Kind, Member, derive_frame, outline_xy
from longpoint.frame.parts import Mark, Part, parts_of

__all__ = [
    "BarJoin",
    "Frame",
    "FrameDesign",
    "JoinKind",
    "Kind",
    "Mark",
    "Member",
    "Part",
    "Side",
    "derive_frame",
    "design_faults",
    "even_rails",
    "outline_xy",
    "parts_of",
    "strings_of",
]
