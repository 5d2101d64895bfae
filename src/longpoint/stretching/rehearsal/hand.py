"""How pulls are made and staples driven in a rehearsal."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from longpoint.errors import Fault, Where
from longpoint.stretching.rehearsal.staples import Reaction


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """How the pulls are made and the staples driven.

    Attributes:
        force: Full pull at the pliers. [N]
        jaw: Width of the jaws. [mm]
        friction: Coefficient between cloth and bar.
        wrap: Angle the cloth is pulled round: π/2 stapled on the side, π on the back, 0 straight out. [rad]
        reach: How far a pull draws the cloth over the lip at most. [mm]
        reaction: "bar" where the pull pushes against the bar (pliers that lever on it, or any pull round its
            edge), "painter" where cloth is drawn straight out by hand against a frame held elsewhere.
        crown: Width of a staple's crown. [mm]
        spread: How much wider a staple holds the cloth at the lip: the strip between staple and lip spreads the
            load, and lies pressed on the wood. [mm]
        take_up: What a staple gives back when the pull is let go. [mm]
        staple_give: Further give of a staple per force. [mm/N]
    """

    force: float
    jaw: float = 75.0  # usual tool, from memory
    friction: float = 0.63  # canvas on pine, Young, Conserving Canvas ch. 15
    wrap: float = math.pi
    reach: float = 40.0  # estimate
    reaction: Reaction = "bar"
    crown: float = 12.0  # usual canvas staple 10-12.7 mm, from memory
    spread: float = 30.0  # estimate: about half the way from lip to staple
    take_up: float = 0.3  # estimate
    staple_give: float = 1e-3  # estimate; wrap and leg

    @property
    def at_lip(self) -> float:
        """Full pull that arrives at the lip, past the friction round the edge. [N]"""
        return self.force * math.exp(-self.friction * self.wrap)

    @property
    def held(self) -> float:
        """Width of the stretch of lip that a staple holds. [mm]"""
        return self.crown + self.spread

    @property
    def tension(self) -> float:
        """Full pull per width of jaw at the lip. [N/mm]"""
        return self.at_lip / self.jaw

    def faults(self) -> list[Fault]:
        """Everything that makes the pulls impossible."""
        found = []
        above = (("force", self.force, "N"), ("jaw", self.jaw, "mm"), ("reach", self.reach, "mm"))
        for key, value, unit in (*above, ("crown", self.crown, "mm")):
            if not value > 0:
                what = f"{key} is {value:g} {unit}; it must be above 0."
                found.append(Fault("hand-size", what, "", Where(f"hand.{key}")))
        least = (
            ("friction", self.friction),
            ("wrap", self.wrap),
            ("spread", self.spread),
            ("take_up", self.take_up),
        )
        for key, value in (*least, ("staple_give", self.staple_give)):
            if value < 0:
                found.append(
                    Fault("hand-size", f"{key} is {value:g}; it cannot be below 0.", "", Where(f"hand.{key}"))
                )
        return found


def hand_for_tension(tension: float, **given: Any) -> Hand:
    """A hand whose full pull leaves a wished tension at the lip.

    Args:
        tension: Per width of jaw at the lip. [N/mm]
        **given: Other values of the hand.

    Returns:
        The hand.
    """
    hand = Hand(force=1.0, **given)
    return Hand(force=tension * hand.jaw * math.exp(hand.friction * hand.wrap), **given)
