"""The frame as a thing: bars, rails and middle pieces in space, and the finished parts they become."""

from longpoint.frame.design import BarJoin, FrameDesign, JoinKind, Side, even_rails, strings_of
from longpoint.frame.faults import design_faults
from longpoint.frame.halves import as_built, extent_of, half_frames
from longpoint.frame.joins import plates_of
from longpoint.frame.members import Frame, Kind, Member, derive_frame, outline_xy
from longpoint.frame.parts import Mark, Part, joined_bars, marks_of_members, parts_of, pieces_in_order

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
    "as_built",
    "derive_frame",
    "design_faults",
    "even_rails",
    "extent_of",
    "half_frames",
    "joined_bars",
    "marks_of_members",
    "outline_xy",
    "parts_of",
    "pieces_in_order",
    "plates_of",
    "strings_of",
]
