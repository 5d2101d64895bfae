"""Lengths told from a design alone are those of the members of its frame, and designs that are equal hash alike."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

from longpoint.frame.design import FrameDesign, even_rails
from longpoint.frame.members import derive_frame, lengths_of

SIDES = ("left", "right", "bottom", "top")


def _any_design(luck: random.Random) -> FrameDesign:
    width, height = (Fraction(luck.randrange(3000, 20000), 10) for _ in range(2))
    strings = ("left", "right") if luck.random() < 0.5 else ("bottom", "top")
    design = FrameDesign(
        width=width,
        height=height,
        bar_thickness=Fraction(luck.choice((18, 21, 44))),
        bar_depth=Fraction(44),
        bevel_fall=Fraction(3),
        bevel_first=False,
        lip_radius=Fraction(2),
        corner="mitre",
        rail_thickness=Fraction(luck.choice((12, 18, 21))),
        rail_depth=Fraction(30),
        drop=Fraction(5),
        end_rails=tuple(side for side in SIDES if luck.random() < 0.5),
        cross_rails=(),
        middle_pieces=luck.random() < 0.5,
        halved=luck.random() < 0.3,
        shift=Fraction(luck.choice((0, 20))),
        strings=strings,
        seam=max(width, height) / 2 if luck.random() < 0.3 else None,
    )
    count = luck.randrange(2, 6) if design.seam is not None else luck.randrange(5)
    return replace(design, cross_rails=even_rails(count, design=design))


def test_lengths_are_those_of_the_members_that_are_placed() -> None:
    luck = random.Random(11)
    for _ in range(300):
        design = _any_design(luck)
        placed = tuple((member.kind, member.length) for member in derive_frame(design).members)
        assert lengths_of(design) == placed
        assert hash(replace(design)) == hash(design)
