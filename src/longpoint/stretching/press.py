"""The press test turned round: how deep a known mass dips, and what tension that means.

The work lies flat, canvas up, on blocks under its bars. A known mass on a known pad is put where no timber is
near; the canvas goes down by the *dip*: how much lower the pad lies with the mass than without it. Lips hold
the canvas round the face; the frame's own give is far smaller than the dip and left out.

One dip gives one number: the mean of the tensions both ways. How they share it cannot be read from it, and
counts in the range, as the reading and the cloth's stiffness do.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from longpoint.errors import Caution, Fault, FaultsError, OutOfRangeError, Where
from longpoint.strength.membrane.grid import Floats, MembraneGrid, graded_grid
from longpoint.strength.membrane.large import Sunk, sink
from longpoint.strength.membrane.solve import GRAVITY, Cloth, dip, patch_forces, pressure_forces
from longpoint.tables.canvas import fibre, named_tension
from longpoint.tables.limits import limit
from longpoint.threads import on_one_thread

#: A dip beyond this part of the shorter side says more about the cloth's stiffness than about its tension.
DEEP = 0.01
#: Tension below which nothing is sought. [N/mm]
LOOSEST = 0.001
#: How well a dip is read with a rule. [mm]  Estimate.
READING = 0.5
#: Stiffness of cloth is known within this factor, up or down.  Estimate.
STIFFNESS_BAND = 2.0
#: One tension may be this many times the other.  Estimate.
SHARE_BAND = 1.6

Verdict = Literal["slack", "right", "too tight"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """What is laid where on which canvas.

    Attributes:
        width: Free canvas from lip to lip along x, above 0. [mm]
        height: Free canvas along y, above 0. [mm]
        x: Middle of the pad from the left lip; None for the middle of the face. [mm]
        y: Middle of the pad from the lower lip; None for the middle. [mm]
        mass: What is laid on the canvas, pad included, above 0. [kg]
        pad: Diameter of a round pad, side of a square one, above 0. [mm]
        round_pad: True for a round pad.
        cloth: The cloth as it is now.
    """

    width: float
    height: float
    mass: float
    pad: float
    cloth: Cloth
    x: float | None = None
    y: float | None = None
    round_pad: bool = True

    @property
    def place(self) -> tuple[float, float]:
        """Middle of the pad. [mm]"""
        return (
            self.width / 2 if self.x is None else self.x,
            self.height / 2 if self.y is None else self.y,
        )

    def faults(self) -> list[Fault]:
        """Everything that makes the press impossible."""
        found: list[Fault] = []
        sizes = (("width", self.width, "mm"), ("height", self.height, "mm"), ("mass", self.mass, "kg"))
        for key, value, unit in (*sizes, ("pad", self.pad, "mm")):
            if not value > 0:
                what = f"{key} is {value:g} {unit}; it must be above 0."
                found.append(Fault("press-size", what, "Measure it again.", Where(key)))
        x, y = self.place
        for key, at, span in (("x", x, self.width), ("y", y, self.height)):
            if span > 0 and self.pad > 0 and not self.pad / 2 < at < span - self.pad / 2:
                what = f"the pad of {self.pad:g} mm at {key} = {at:g} mm reaches beyond the canvas (0 to {span:g} mm)."
                found.append(Fault("press-place", what, "Press nearer the middle.", Where(key)))
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class PressAnswer:
    """What a dip says.

    Attributes:
        tension: Mean of the tensions both ways. [N/mm]
        low: Lowest that reading, stiffness and share allow. [N/mm]
        high: Highest. [N/mm]
        verdict: "slack", "right" or "too tight", by ``tension``.
        sure: True if low and high lead to the same verdict.
        sag: How far the canvas hangs from its own weight at the pad, without the mass. [mm]
        small_answer: Tension from the formula for small dips; too high where the dip is deep. [N/mm]
        advice: What to do, one or two sentences.
        cautions: What to know about this answer.
    """

    tension: float
    low: float
    high: float
    verdict: Verdict
    sure: bool
    sag: float
    small_answer: float
    advice: str
    cautions: tuple[Caution, ...]


def _lines(span: float, at: float, pad: float) -> Floats:
    """Grid lines, closer together round the pad, shape (n,). [mm]"""
    fine = pad / 3.5
    places = [at]
    for end in (0.0, span):
        gap, step, run = abs(end - at), fine, 0.0
        steps = []
        while run < gap:
            steps.append(step)
            run += step
            if run > 0.55 * pad:
                step = min(step * 1.5, span / 10)
        scaled = np.cumsum(steps) * gap / run
        places.extend(at + np.sign(end - at) * scaled)
    return np.sort(np.array(places))


def press_grid(press: Press) -> MembraneGrid:
    """A grid with fine elements round the pad.

    Args:
        press: The press.

    Returns:
        The grid; the middle of the pad is a node.
    """
    x, y = press.place
    return graded_grid(x_lines=_lines(press.width, x, press.pad), y_lines=_lines(press.height, y, press.pad))


def _loads(press: Press, grid: MembraneGrid) -> tuple[Floats, Floats, int]:
    """Own weight and mass as nodal forces, downwards positive, and the node under the pad's middle."""
    x, y = press.place
    weight = pressure_forces(grid, press.cloth.weight)
    laid = patch_forces(
        grid,
        x=x,
        y=y,
        width=press.pad,
        height=press.pad,
        force=press.mass * GRAVITY,
        round_pad=press.round_pad,
    )
    node = int(np.argmin(np.hypot(grid.nodes[:, 0] - x, grid.nodes[:, 1] - y)))
    return weight, laid, node


def _shares(mean: float, ratio: float) -> tuple[float, float]:
    """Tx and Ty of a mean tension, ratio = Ty / Tx."""
    return 2 * mean / (1 + ratio), 2 * mean * ratio / (1 + ratio)


class Pressed:
    """One press on one grid; every rest starts from the last one of its kind.

    Args:
        press: What is laid where.
        ratio: Tension along y over tension along x, above 0.

    Raises:
        FaultsError: If the press is impossible.
        OutOfRangeError: If the ratio is out of range.
    """

    def __init__(self, press: Press, ratio: float = 1.0) -> None:
        if found := press.faults():
            raise FaultsError(found)
        if ratio <= 0:
            msg = "the ratio of the tensions must be above 0"
            raise OutOfRangeError(msg)
        self.press, self.ratio, self.grid = press, ratio, press_grid(press)
        self.weight, self.laid, self.node = _loads(press, self.grid)
        self.last: dict[bool, Sunk] = {}
        self._bare: dict[float, float] = {}

    def lay(self, mass: float) -> None:
        """Lays another mass on the same pad. [kg]"""
        self.laid = self.laid * (mass / self.press.mass)
        self.press = replace(self.press, mass=mass)

    def _sunk(self, tension: float, laid: bool) -> float:
        shared = _shares(tension, self.ratio)
        forces = self.weight + self.laid if laid else self.weight
        try:
            rest = sink(
                self.grid,
                self.press.cloth,
                prestress=shared,
                forces=forces,
                start=self.last.get(laid),
                limit=25,
            )
        except OutOfRangeError:  # the last rest was too far away to start from
            rest = sink(self.grid, self.press.cloth, prestress=shared, forces=forces)
        self.last[laid] = rest
        return float(rest.movement[self.node])

    def dip(self, tension: float) -> float:
        """How much lower the pad lies with the mass than without. [mm]

        Args:
            tension: Mean of both tensions, 0 or above. [N/mm]

        Raises:
            OutOfRangeError: If the tension is out of range.
        """
        if tension < 0:
            msg = "the tension must be at least 0"
            raise OutOfRangeError(msg)
        if tension not in self._bare:
            self._bare[tension] = self._sunk(tension, False) if self.weight.any() else 0.0
        return self._sunk(tension, True) - self._bare[tension]

    def small_dip(self, tension: float) -> float:
        """The same by the formula for small dips. [mm]"""
        return float(dip(self.grid, (*_shares(tension, self.ratio), 0.0), self.laid)[self.node])


def tension_from_dip(press: Press, *, deep: float, ratio: float = 1.0, accuracy: float = 1e-6) -> float:
    """Tension that explains a dip.

    Args:
        press: What is laid where.
        deep: The dip: how much lower the pad lies with the mass than without, above 0. [mm]
        ratio: Tension along y over tension along x, above 0.
        accuracy: Error allowed in the solution, as a part of the answer.

    Returns:
        Mean of both tensions. [N/mm]

    Raises:
        FaultsError: If the press is impossible, or no tension explains the dip.
    """
    from scipy.optimize import brentq  # heavy, and few plans need it

    found = press.faults()
    if not deep > 0:
        what = f"the dip is {deep:g} mm; it must be above 0."
        found.append(Fault("dip-size", what, "Read it again, or lay on more.", Where("dip")))
    if found:
        raise FaultsError(found)
    bench = Pressed(press, ratio)
    guess = bench.small_dip(1.0) / deep
    if guess > _near_breaking():
        what = f"a dip of {deep:g} mm would mean {guess * 1000:.0f} N/m, near where cloth breaks."
        remedy = "Read the dip again, or lay on more until it dips a few millimetres."
        raise FaultsError([Fault("dip-too-small", what, remedy, Where("dip"))])
    # The small-dip answer is an upper bound. Downwards from it the dip grows, but a heavy slack canvas hangs so
    # deep already that the mass adds little: past its deepest dip less tension means less dip again.
    high, reached = guess * (1 + 1e-6), bench.dip(guess)
    while True:
        low, deeper = 0.6 * high, bench.dip(0.6 * high)
        if deeper >= deep:
            break
        if deeper <= reached or low < LOOSEST:
            raise FaultsError([_too_deep(press, deep, max(deeper, reached))])
        high, reached = low, deeper
    tension = brentq(  # 1/dip is nearly straight in the tension
        lambda value: 1 / bench.dip(value) - 1 / deep,
        low,
        high,
        xtol=0.5 * accuracy * high,
        rtol=max(accuracy, 1e-12),
    )
    return float(tension)


def _too_deep(press: Press, deep: float, deepest: float) -> Fault:
    """Fault of a dip that no tension explains."""
    what = (
        f"No tension explains a dip of {deep:.1f} mm: even a canvas with next to no tension, lying flat and without "
        f"folds, would dip only about {deepest:.1f} mm under {press.mass * 1000:.0f} g."
    )
    remedy = "The cloth hangs loose: stretch it again; or check mass, pad, sizes and the reading."
    return Fault("dip-too-deep", what, remedy, Where("dip"))


def _bounds(press: Press, deep: float, reading: float) -> tuple[float, float]:
    """Lowest and highest tension within reading, stiffness and share."""
    lowest, highest = np.inf, 0.0
    for ratio in (1 / SHARE_BAND, SHARE_BAND):
        for stiffness, off in ((STIFFNESS_BAND, reading), (1 / STIFFNESS_BAND, -reading)):
            cloth = press.cloth
            changed = replace(
                press,
                cloth=replace(
                    cloth,
                    warp_stiffness=cloth.warp_stiffness * stiffness,
                    weft_stiffness=cloth.weft_stiffness * stiffness,
                    shear_stiffness=cloth.shear_stiffness * stiffness,
                ),
            )
            try:
                tension = tension_from_dip(
                    changed, deep=max(deep + off, 0.1 * deep), ratio=ratio, accuracy=2e-3
                )
            except FaultsError as refused:
                tension = 0.0 if refused.faults[0].code == "dip-too-deep" else _near_breaking()
            lowest, highest = min(lowest, tension), max(highest, tension)
    return float(lowest), float(highest)


def _near_breaking() -> float:
    """Tension that no stretched canvas has: half of what new linen breaks at. [N/mm]"""
    return 0.5 * fibre("linen").breaking


def service_window() -> tuple[float, float]:
    """Below the first a canvas is called slack, above the second too tight. [N/mm]"""
    window = named_tension("service")
    return window.low, window.high


def _judge(tension: float) -> Verdict:
    """The verdict on a mean tension."""
    low, high = service_window()
    if tension < low:
        return "slack"
    return "too tight" if tension > high else "right"


Advice = Literal["slack", "slack, flat", "right", "too tight"]


def advice_of(tension: float) -> Advice:
    """What to do at a mean tension [N/mm], as a key: ``slack, flat`` is slack that does not flap yet."""
    verdict = _judge(tension)
    if verdict == "slack" and tension >= limit("least tension anywhere").value:
        return "slack, flat"
    return verdict


_ADVICE: dict[Advice, str] = {
    "slack": "Stretch it again, or drive the keys a little if the corners have keys; never key a primed "
    "canvas hard.",
    "slack, flat": "It does not flap yet. Before priming, stretch it again; once painted, leave it and press again "
    "next season, or drive the keys a very little if the corners have keys.",
    "right": "Leave it. Write the dip on the back with date and weather, and press again next season.",
    "too tight": "Let it out and staple again before it is primed; look whether bars are drawn in and corners have "
    "opened.",
}


@on_one_thread
def press_answer(
    press: Press, *, deep: float, reading: float = READING, gap: float | None = None
) -> PressAnswer:
    """What a dip says about a canvas.

    Args:
        press: What is laid where.
        deep: The dip. [mm]
        reading: How well it was read, either way. [mm]
        gap: Room between canvas and the nearest timber under the pad, None if not known. [mm]

    Returns:
        The tension with its range, the verdict, and what to do.

    Raises:
        FaultsError: If the press is impossible, or no tension explains the dip.
    """
    tension = tension_from_dip(press, deep=deep)
    low, high = _bounds(press, deep, reading)
    low, high = min(low, tension), max(high, tension)
    bench = Pressed(press, 1.0)
    sag = (
        float(dip(bench.grid, (tension, tension, 0.0), bench.weight)[bench.node])
        if press.cloth.weight
        else 0.0
    )
    cautions = []
    span = min(press.width, press.height)
    if deep > DEEP * span:
        cautions.append(Caution("dip-deep", facts=(("dip", f"{deep:.1f} mm"), ("span", f"{span:.0f} mm"))))
    if deep < 4 * reading:
        cautions.append(
            Caution("dip-small", facts=(("dip", f"{deep:.1f} mm"), ("reading", f"{reading:g} mm")))
        )
    if gap is not None and deep + sag > gap:
        cautions.append(Caution("dip-touches", facts=(("gap", f"{gap:.1f} mm"),)))
    cautions.append(Caution("press-estimate"))
    verdict = _judge(tension)
    return PressAnswer(
        tension=tension,
        low=low,
        high=high,
        verdict=verdict,
        sure=_judge(low) == _judge(high),
        sag=sag,
        small_answer=bench.small_dip(1.0) / deep,
        advice=_ADVICE[advice_of(tension)],
        cautions=tuple(cautions),
    )
