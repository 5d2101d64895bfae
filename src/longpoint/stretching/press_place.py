"""Where to press and with what, and two other cheap readings: a string along a bar, a canvas blown on to a bar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.errors import Caution, Fault, FaultsError, Where
from longpoint.strength.membrane.solve import Cloth
from longpoint.stretching.press import DEEP, Press, Pressed, service_window
from longpoint.threads import on_one_thread

#: Masses a studio has at hand. [kg]  Common practice, no published source.
MASSES = (0.100, 0.150, 0.200, 0.250)
#: A dip from here on is readable with a rule. [mm]  Estimate.
READABLE = 3.0
#: Part of the gap to the timber that a dip may use.  Estimate.
ROOM = 0.7


@dataclass(frozen=True, slots=True, kw_only=True)
class PressPlan:
    """Where to press, with what, and what to expect.

    Attributes:
        x: Middle of the pad from the left lip. [mm]
        y: Middle of the pad from the lower lip. [mm]
        mass: What to lay on. [kg]
        pad: Size of the pad. [mm]
        clear: From the pad's edge to the nearest timber, seen from the front. [mm]
        expected: Dips at a slack, the wished and a too tight tension: (tension [N/mm], dip [mm]) each.
        cautions: What to know.
    """

    x: float
    y: float
    mass: float
    pad: float
    clear: float
    expected: tuple[tuple[float, float], ...]
    cautions: tuple[Caution, ...]


def _bays(span: float, rails: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Free stretches between bars and rails: (from, to). [mm]"""
    at, bays = 0.0, []
    for middle, size in sorted(rails):
        bays.append((at, middle - size / 2))
        at = middle + size / 2
    bays.append((at, span))
    return [(low, high) for low, high in bays if high > low]


@on_one_thread
def propose_press(
    *,
    width: float,
    height: float,
    cloth: Cloth,
    tension: float,
    upright_rails: Sequence[tuple[float, float]] = (),
    level_rails: Sequence[tuple[float, float]] = (),
    bar: float = 0.0,
    gap: float | None = None,
    pad: float = 60.0,
    masses: Sequence[float] = MASSES,
) -> PressPlan:
    """Proposes where to press and with what mass.

    The bay whose middle is farthest from timber wins; of equals the one nearest the middle of the face.

    Args:
        width: Free canvas from lip to lip along x. [mm]
        height: Free canvas along y. [mm]
        cloth: The cloth as it is now.
        tension: Tension that is wished. [N/mm]
        upright_rails: Rails that run along y: (middle from the left lip, size along x). [mm]
        level_rails: Rails that run along x: (middle from the lower lip, size along y). [mm]
        bar: Thickness of the outer bars, seen from the front. [mm]
        gap: Room between canvas and rails, None if the frame has none near. [mm]
        pad: Size of the round pad. [mm]
        masses: What there is to lay on, rising; the first that dips a readable amount is taken. [kg]

    Returns:
        The plan.

    Raises:
        FaultsError: If no bay takes the pad.
    """
    best: tuple[float, float, float, float] | None = None
    for x0, x1 in _bays(width, [*upright_rails, (bar / 2, bar), (width - bar / 2, bar)]):
        for y0, y1 in _bays(height, [*level_rails, (bar / 2, bar), (height - bar / 2, bar)]):
            clear = min(x1 - x0, y1 - y0) / 2 - pad / 2
            x, y = (x0 + x1) / 2, (y0 + y1) / 2
            off = abs(x - width / 2) + abs(y - height / 2)
            key = (round(clear, 6), -round(off, 6), x, y)
            if best is None or key[:2] > best[:2]:
                best = key
    if best is None or best[0] <= 0:
        what = f"no bay of the frame takes a pad of {pad:g} mm clear of the timber."
        raise FaultsError([Fault("press-no-bay", what, "Use a smaller pad.", Where("pad"))])
    clear, _, x, y = best
    press = Press(width=width, height=height, x=x, y=y, mass=masses[0], pad=pad, cloth=cloth)
    deepest = DEEP * min(width, height)
    if gap is not None:
        deepest = min(deepest, ROOM * gap)
    pressed = Pressed(press)
    chosen = masses[0], 0.0
    for mass in masses:
        pressed.lay(mass)
        reached = pressed.dip(tension)
        if mass == masses[0] or reached <= deepest:
            chosen = mass, reached
        if reached >= READABLE:
            break
    mass, reached = chosen
    pressed.lay(mass)
    low, high = service_window()
    expected = (low, pressed.dip(low)), (tension, reached), (high, pressed.dip(high))
    cautions = []
    if expected[1][1] < READABLE:
        cautions.append(
            Caution(
                "press-small",
                facts=(("tension", f"{tension * 1000:.0f} N/m"), ("dip", f"{expected[1][1]:.1f} mm")),
            )
        )
    if expected[0][1] > deepest:
        cautions.append(
            Caution("press-deep", facts=(("dip", f"{expected[0][1]:.1f} mm"), ("most", f"{deepest:.1f} mm")))
        )
    return PressPlan(x=x, y=y, mass=mass, pad=pad, clear=clear, expected=expected, cautions=tuple(cautions))
