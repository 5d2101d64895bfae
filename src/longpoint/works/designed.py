"""The design of one work with its timber, as whoever settles it hands it on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from longpoint.errors import Fault
from longpoint.frame.design import FrameDesign
from longpoint.joinery import BuildPlan
from longpoint.works.brief import Brief
from longpoint.works.stock import Section
from longpoint.works.tension import FRAME_TAKES

Say = Callable[[str], None]
"""Told what is being done."""


@dataclass(frozen=True, slots=True)
class Designed:
    """A design with the timber it is made of and how it came about.

    Attributes:
        design: The design.
        bars: Timber of the bars.
        rails: Timber of the rails; None where there are none.
        by_rule: Whether an inside that was left open was settled by the rule of thumb.
    """

    design: FrameDesign
    bars: Section
    rails: Section | None
    by_rule: bool = False

    @property
    def share(self) -> float:
        """Tension that the frame leaves over what one that does not give would leave; an estimate here. [1]"""
        return 1 - FRAME_TAKES

    @property
    def is_changed(self) -> bool:
        """Whether other timber is planned than stated, for nothing stated holds; nothing is computed here."""
        return False

    @property
    def built(self) -> BuildPlan | None:
        """How its frame goes together; None where that was not worked out while it was chosen."""
        return None

    @property
    def bears(self) -> float | None:
        """Tension that frame and joints bear; None here, where nothing was computed. [N/mm]"""
        return None


Chooser = Callable[[Brief], "Designed | tuple[Fault, ...]"]
"""Settles the design of one work, or tells everything that stands against it."""
