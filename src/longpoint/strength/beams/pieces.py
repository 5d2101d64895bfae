"""A frame as the engine takes it: members, joints, seams and breaks, ready to be cut into elements."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from longpoint.strength.beams.frame_model import Break, FrameModel, Joint, Member, Seam, build_frame

#: Elements along a bar's whole length, at least.
BAR_PIECES = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class FramePieces:
    """Members, joints and seams of a support, ready for `build_frame`.

    Attributes:
        members: The members.
        joints: The joints.
        seams: The seams.
        bars: Names of the members under the bottom, right, top and left edge.
        breaks: Where members are cut through and held together again.
        stations: Further places at which a member gets a node: its name, distances from its start. [mm]
    """

    members: tuple[Member, ...]
    joints: tuple[Joint, ...]
    seams: tuple[Seam, ...] = ()
    bars: tuple[str, str, str, str] = ("bottom", "right", "top", "left")
    breaks: tuple[Break, ...] = ()
    stations: tuple[tuple[str, tuple[float, ...]], ...] = ()

    def model(self) -> FrameModel:
        """The frame cut into elements."""
        extra = {name: np.array(places) for name, places in self.stations}
        return build_frame(self.members, self.joints, self.seams, extra, self.breaks)
