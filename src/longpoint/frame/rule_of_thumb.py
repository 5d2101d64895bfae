"""How many rails, by the rule that painters use where nothing has been computed.

Common practice, no published source: one brace for every 0.75 to 1 m of side. The rule knows neither section
nor tension nor timber; `longpoint.strength` does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

BRACE_EVERY = Fraction(800)
"""Longest bay that the rule leaves along a side. [mm] Estimate within the 0.75–1 m of common practice."""

FRAME_ALONE = Fraction(700)
"""Longest side that the rule leaves without anything inside. [mm] Estimate."""

END_RAILS_FROM = Fraction(1000)
"""Longest side from which on the rule asks for end rails. [mm] Estimate."""


@dataclass(frozen=True, slots=True)
class Inside:
    """What the rule puts inside a frame.

    Attributes:
        cross_rails: How many.
        middle_pieces: Whether there is a line of middle pieces.
        end_rails: Whether the sides that carry the strings get end rails.
    """

    cross_rails: int
    middle_pieces: bool
    end_rails: bool


def inside_by_rule(*, width: Fraction, height: Fraction) -> Inside:
    """What the rule of thumb puts inside a face of this size.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]

    Returns:
        The rails.
    """
    length, breadth = max(width, height), min(width, height)
    if length <= FRAME_ALONE:
        return Inside(0, False, False)
    return Inside(
        cross_rails=math.ceil(length / BRACE_EVERY) - 1,
        middle_pieces=breadth > BRACE_EVERY,
        end_rails=length >= END_RAILS_FROM,
    )
