"""How far a pull may go, and raw cloth that shrinks under water."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, hypot, log, sqrt

from longpoint.errors import Caution, Fault, FaultsError, OutOfRangeError, Where
from longpoint.stretching.ranges import Range
from longpoint.tables import (
    ClothState,
    Source,
    Tag,
    breaking_tension,
    canvas_constant,
    fibre,
    named_tension,
)


@dataclass(frozen=True, slots=True)
class PullLimit:
    """A tension not to be passed.

    Attributes:
        name: What gives: "weave", "seam", "ground", "bars", "joints".
        tension: The most. [N/mm]
        never: Whether passing it breaks something at once; otherwise it harms in the long run.
        source: Where it comes from.
    """

    name: str
    tension: float
    never: bool
    source: Source


def pull_limits(
    *,
    state: ClothState,
    fibre_name: str,
    mass: float,
    old: bool = False,
    seam: bool = False,
    bars: float | None = None,
    joints: float | None = None,
) -> tuple[PullLimit, ...]:
    """Every limit on the face tension while pulling, least first.

    Args:
        state: State of the cloth.
        fibre_name: What it is woven from.
        mass: Of the raw cloth. [g/m²]
        old: Whether it is an old canvas.
        seam: Whether a seam runs through it.
        bars: Tension the bars bear, from the strength of the frame; None if not known. [N/mm]
        joints: Tension the joints bear; None if not known. [N/mm]

    Returns:
        The limits, each with its source.
    """
    weave = fibre(fibre_name)
    uneven = canvas_constant("strain concentration")
    breaking = breaking_tension(fibre_name, mass=mass)
    why = f"breaking tension ({weave.source.text}) over unevenness at fixings ({uneven.source.text})"
    if old:
        aged = canvas_constant("strength left in old lining canvas")
        breaking *= aged.value
        why += f", old canvas ({aged.source.text})"
    at_fixings = breaking / uneven.value
    found = [PullLimit("weave", at_fixings, True, Source(why, Tag.ESTIMATE))]
    if seam:
        share = canvas_constant("strength left in a seam")
        found.append(PullLimit("seam", at_fixings * share.value, True, share.source))
    if not state.name.startswith("raw"):
        # the ground cracks at its own strain, whatever the weave under it would still bear
        ground = state.strain_limit * min(state.warp, state.weft)
        found.append(PullLimit("ground", ground, False, state.source))
    own = Source("strength of this frame", Tag.COMPUTED)
    if bars is not None:
        found.append(PullLimit("bars", bars, True, own))
    if joints is not None:
        found.append(PullLimit("joints", joints, True, own))
    return tuple(sorted(found, key=lambda limit: (limit.tension, limit.name)))


def check_pull(
    *, tension: float, limits: tuple[PullLimit, ...], where: Where | None = None
) -> tuple[Caution, ...]:
    """Whether a pull stays within what cloth, bars and joints bear.

    Args:
        tension: Face tension while pulling, the highest. [N/mm]
        limits: What it is held against.
        where: Place the tension was stated, for messages.

    Returns:
        Cautions for what harms in the long run.

    Raises:
        FaultsError: If something would break at once; all faults together.
    """
    passed = [limit for limit in limits if tension > limit.tension]
    faults = []
    for limit in passed:
        if not limit.never:
            continue
        tears = limit.name in ("weave", "seam")
        verb = (
            "tears the cloth at its fixings"
            if limit.name == "weave"
            else f"is more than the {limit.name} can bear"
        )
        faults.append(
            Fault(
                "pull-tears-cloth" if tears else "pull-too-hard",
                f"A pull of {1000 * tension:.0f} N/m {verb}: the most is {1000 * limit.tension:.0f} N/m "
                f"({limit.source.tag}).",
                "Pull less, or take heavier cloth." if tears else "Pull less, or strengthen the frame.",
                where or Where(),
            )
        )
    if faults:
        raise FaultsError(faults)
    return tuple(
        Caution(
            "pull-over",
            facts=(
                ("tension", f"{1000 * tension:.0f} N/m"),
                ("layer", limit.name),
                ("most", f"{1000 * limit.tension:.0f} N/m"),
                ("tag", limit.source.tag),
            ),
        )
        for limit in passed
    )


MEASURED_APART = 1.4
"""Factor either way within which a canvas follows its strips. [1] Estimate: reading, threads, brush."""

_HARDLY_ANY = 0.1  # [%] stands for "does not shrink", so that a range by factor exists


def _together(*factors: tuple[float, float]) -> Range:
    """A product of uncertain numbers that have nothing to do with each other, each given from–to.

    They will hardly all lie at the same end, so their spreads are added as right angles, by factor.
    """
    middle = 1.0
    for low, high in factors:
        middle *= sqrt(low * high)
    spread = exp(hypot(*(0.5 * log(high / low) for low, high in factors)))
    return Range(middle / spread, middle, middle * spread)


@dataclass(frozen=True, slots=True)
class Wetting:
    """Raw cloth under water-borne size or primer.

    Attributes:
        snug: How tight to stretch it before: flat and no more. [N/mm]
        added: Tension that wetting adds as cloth shrinks and dries. [N/mm]
        reached: Snug tension and what is added. [N/mm]
        loose_share: Free shrinkage, were it not stretched. [%]
        cautions: What to do.
    """

    snug: Range
    added: Range
    reached: Range
    loose_share: Range
    cautions: tuple[Caution, ...]


def wetting(
    *,
    state: ClothState,
    fibre_name: str,
    stretched_to: float | None = None,
    frame_bears: float | None = None,
    measured: float | None = None,
) -> Wetting:
    """What water-borne size or primer does to raw cloth that is already stretched. A wide estimate.

    Args:
        state: State of the cloth, raw.
        fibre_name: What it is woven from.
        stretched_to: Tension it is stretched to before; None for snug. [N/mm]
        frame_bears: Tension the frame bears; None if not known. [N/mm]
        measured: Tension that it reaches held still, from the strips (`longpoint.stretching.strips`); None: the wide
            estimate of its fibre. [N/mm]

    Returns:
        Tensions before and after with cautions.

    Raises:
        OutOfRangeError: If the cloth is not raw: sized or primed cloth has done its shrinking.
    """
    if not state.name.startswith("raw"):
        msg = f"Only raw cloth shrinks like that under water; this one is {state.name}."
        raise OutOfRangeError(msg)
    weave = fibre(fibre_name)
    kept_low = canvas_constant("share of wetting shrinkage left under tension, from").value
    kept_high = canvas_constant("share of wetting shrinkage left under tension, to").value
    added = _together(
        (max(weave.shrink_low, _HARDLY_ANY) / 100.0, weave.shrink_high / 100.0),
        (kept_low, kept_high),
        (min(state.warp_low, state.weft_low), max(state.warp_high, state.weft_high)),
    )
    if measured is not None:
        added = Range(measured / MEASURED_APART, measured, measured * MEASURED_APART)
    row = named_tension("insufficient")
    snug = Range(row.low, 0.5 * (row.low + row.high), row.high)
    before = snug if stretched_to is None else Range(stretched_to, stretched_to, stretched_to)
    reached = Range(before.low + added.low, before.middle + added.middle, before.high + added.high)
    if measured is not None:
        reached, added = (
            added,
            Range(*(max(a - before.middle, 0.0) for a in (added.low, measured, added.high))),
        )
    cautions = [
        Caution(
            "snug-and-water",
            facts=(
                ("fibre", weave.name),
                ("snug", f"{1000 * snug.low:.0f}-{1000 * snug.high:.0f} N/m"),
                ("added", f"{_rough(added.middle)} N/m"),
                ("least", f"{_rough(added.low)}"),
                ("most", f"{_rough(added.high)}"),
            ),
        )
    ]
    if stretched_to is not None and stretched_to > snug.high:
        cautions.append(
            Caution(
                "too-tight-before-water",
                facts=(
                    ("tension", f"{1000 * stretched_to:.0f} N/m"),
                    ("reached", f"{1000 * reached.high:.0f} N/m"),
                ),
            )
        )
    if frame_bears is not None and reached.middle > frame_bears:
        cautions.append(
            Caution(
                "frame-under-water",
                facts=(
                    ("tension", f"{1000 * reached.middle:.0f} N/m"),
                    ("bears", f"{1000 * frame_bears:.0f} N/m"),
                ),
            )
        )
    return Wetting(
        snug=snug,
        added=added,
        reached=reached,
        loose_share=Range(weave.shrink_low, 0.5 * (weave.shrink_low + weave.shrink_high), weave.shrink_high),
        cautions=tuple(cautions),
    )


def _rough(tension: float) -> str:
    """A tension known to a factor only, in N/m with one or two figures that mean something."""
    value = 1000 * tension
    step = 10 if value < 200 else 50 if value < 1000 else 100
    return f"{step * max(1, round(value / step)):.0f}"
