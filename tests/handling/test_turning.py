"""Rectangles through openings and round corners, against published closed forms and against brute force.

Sources: W. B. Carver, American Mathematical Monthly 64 (1957), and J. E. Wetzel, "Rectangles in rectangles",
Mathematics Magazine 73 (2000), for a rectangle in a rectangle; the ladder round a corner is a textbook problem.
"""

from __future__ import annotations

from math import degrees, hypot, pi, radians, sqrt

import numpy as np
import pytest
from pytest import approx

from longpoint.handling.turning import (
    corner_room,
    lean_windows,
    lengthwise_least,
    longest_round,
    path_round,
    rounds_corner,
)
from oracles.turning import rounds


def tallest(width: float, height: float, thick: float) -> float:
    low, high = 0.0, 9000.0
    while high - low > 1e-6:
        middle = (low + high) / 2
        fits = lean_windows(up=middle, across=thick, height=height, width=width)
        low, high = (middle, high) if fits else (low, middle)
    return low


def test_the_tallest_panel_through_a_doorway() -> None:
    assert tallest(800, 2000, 50) == approx(2120.5, abs=0.1)
    assert tallest(800, 2000, 0) == approx(hypot(800, 2000), abs=0.1)


def test_the_angles_at_which_a_panel_goes_through_a_doorway() -> None:
    ((low, high),) = lean_windows(up=2100, across=50, height=2000, width=800)
    assert degrees(low) == approx(19.17, abs=0.01)
    assert degrees(high) == approx(21.02, abs=0.01)


def test_upright_and_flat_are_two_windows() -> None:
    upright, flat = lean_windows(up=1900, across=1250, height=2000, width=2000)
    assert upright[0] == 0
    assert flat[1] == approx(pi / 2)
    assert lean_windows(up=2000, across=800, height=2000, width=800) == ((0.0, approx(0, abs=1e-6)),)


def carver(p: float, q: float, a: float, b: float) -> bool:
    """Whether p × q goes into a × b, as Carver and Wetzel have it."""
    p, q, a, b = max(p, q), min(p, q), max(a, b), min(a, b)
    if p <= a:
        return q <= b
    return q <= b and b >= (2 * p * q * a + (p * p - q * q) * sqrt(p * p + q * q - a * a)) / (p * p + q * q)


def test_windows_are_there_when_carver_says_so() -> None:
    random = np.random.default_rng(3)
    counts = {True: 0, False: 0}
    for p, q, a, b in random.uniform(20, 3000, (4000, 4)):
        says = carver(p, q, a, b)
        assert bool(lean_windows(up=p, across=q, height=a, width=b)) == says, (p, q, a, b)
        counts[says] += 1
    assert min(counts.values()) > 500


@pytest.mark.parametrize(
    ("before", "after", "thick", "longest"),
    [
        (1000, 1000, 0, 2828.43),
        (1000, 1000, 50, 2728.43),
        (800, 1300, 0, (800 ** (2 / 3) + 1300 ** (2 / 3)) ** 1.5),
        (907, 907, 131, 2 * sqrt(2) * 907 - 2 * 131),
    ],
)
def test_the_longest_round_a_corner(before: float, after: float, thick: float, longest: float) -> None:
    assert longest_round(before=before, after=after, thick=thick) == approx(longest, abs=0.01)


def test_the_quartic_and_the_cubic_agree() -> None:
    random = np.random.default_rng(4)
    for before, after, share in random.uniform((600, 600, 0.01), (2000, 2000, 1), (300, 3)):
        thick = share * min(before, after)
        longest = longest_round(before=before, after=after, thick=thick)
        room, _ = corner_room(before=before, after=after, turn=pi / 2, long=longest, thick=thick)
        assert room == approx(0, abs=1e-5)


def test_a_short_thick_block_slides_round_where_it_could_not_turn() -> None:
    block = {"before": 600.0, "after": 1100.0, "turn": pi / 2, "long": 1100.0, "thick": 600.0}
    assert corner_room(**block)[0] < 0
    assert path_round(**block) == (approx(0),)
    assert not rounds_corner(**{**block, "thick": 601.0})


@pytest.mark.slow
@pytest.mark.parametrize("turn", [pi / 2, radians(38)])
def test_round_a_corner_as_brute_force_finds_it(turn: float) -> None:
    random = np.random.default_rng(5)
    for before, after, share in random.uniform((600, 600, 0.02), (2000, 2000, 0.9), (6, 3)):
        thick = share * min(before, after)
        low, high = 0.0, 20_000.0
        while high - low > 0.1:
            long = (low + high) / 2
            fits = rounds_corner(before=before, after=after, turn=turn, long=long, thick=thick)
            low, high = (long, high) if fits else (low, long)
        passage = {
            "before": before,
            "after": after,
            "turn": turn,
            "step": 1.5 if turn > 1.5 else 0.5,
        }
        assert rounds(long=0.97 * low - 5, thick=0.97 * thick - 5, **passage)
        assert not rounds(long=low + 3, thick=thick, **passage)


def test_one_end_is_raised_no_more_than_the_ceiling_lets() -> None:
    found = lengthwise_least(along=3000, up=200, height=2000)
    assert found is not None
    length, angle = found
    assert 3000 * np.sin(angle) + 200 * np.cos(angle) == approx(2000, abs=1e-3)
    assert length == approx(3000 * np.cos(angle) + 200 * np.sin(angle))
    assert lengthwise_least(along=3000, up=2100, height=2000) is None
    assert lengthwise_least(along=1500, up=2100, height=2000) == (2100.0, approx(pi / 2))
