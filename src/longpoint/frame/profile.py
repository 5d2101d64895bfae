"""The profile of a bar: a narrow flat at the lip, from there the bevel falls to the low inner edge.

The flat keeps the plane off the line that canvas lies on, and is what the lip is rounded from at the end. Everything
that draws, cuts or weighs a bar takes its corners from here.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from longpoint.frame.design import FrameDesign

LIP_FLAT = Fraction(2)
"""Flat left beside the lip where there is a bevel; common practice, no published source. [mm]"""

_WIDEST = Fraction(1, 8)
"""The flat is never more than this part of the bar's thickness; estimate."""


def lip_flat(*, thickness: Fraction, fall: Fraction) -> Fraction:
    """Width of the flat that stays at the lip. [mm]

    Args:
        thickness: Of the bar. [mm]
        fall: Of its bevel; 0 for none, and then no flat is told apart. [mm]
    """
    return min(LIP_FLAT, thickness * _WIDEST) if fall else Fraction(0)


def bevelled_off(*, thickness: Fraction, fall: Fraction, outer: Fraction, inner: Fraction) -> Fraction:
    """Volume that the bevel takes off a bar whose length goes from ``outer`` at the lip to ``inner``. [mm³]

    The wedge begins at the flat and is deepest at the inner side, where a mitred bar is shortest.

    Args:
        thickness: Of the bar. [mm]
        fall: Of its bevel. [mm]
        outer: Length at the outer side. [mm]
        inner: Length at the inner side. [mm]
    """
    flat = lip_flat(thickness=thickness, fall=fall)
    wide = thickness - flat
    lost = outer - inner
    # ∫ fall·s · (outer − lost·(flat + wide·s)/thickness) · wide ds, s from 0 to 1
    return fall * wide * ((outer - lost * flat / thickness) / 2 - lost * wide / (3 * thickness))


def lap_kept(design: FrameDesign, *, level: bool) -> Literal["front", "back"]:
    """Which half a bar keeps where its corners are half-lapped: the long bars' lips run through in front.

    Args:
        design: The design.
        level: Whether the bar is a bottom or top one.
    """
    return "front" if level == (design.long_axis == "x") else "back"


def lapped_off(
    *, thickness: Fraction, depth: Fraction, fall: Fraction, keeps: Literal["front", "back"]
) -> Fraction:
    """Volume that a half-lap takes off one end of a bar, what the bevel took not counted twice. [mm³]

    The bevel falls less than half the depth (see `faults`), so that it lies in the front half alone.

    Args:
        thickness: Of the bars, which is how long the lap is. [mm]
        depth: Of the bars. [mm]
        fall: Of the bevel. [mm]
        keeps: The half that stays.
    """
    half = thickness * thickness * depth / 2
    wedge = fall * (thickness - lip_flat(thickness=thickness, fall=fall)) / 2
    return half if keeps == "front" else half - wedge * thickness


def bar_corners(design: FrameDesign) -> tuple[tuple[Fraction, Fraction], ...]:
    """Corners of a bar's section with the lip still sharp: (distance from the outer side, z), counter-clockwise. [mm]

    Args:
        design: The design.
    """
    thick, deep, fall = design.bar_thickness, design.bar_depth, design.bevel_fall
    zero = Fraction(0)
    if not fall:
        return ((zero, -deep), (thick, -deep), (thick, zero), (zero, zero))
    flat = lip_flat(thickness=thick, fall=fall)
    return ((zero, -deep), (thick, -deep), (thick, -fall), (flat, zero), (zero, zero))
