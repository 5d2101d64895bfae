"""How hard to pull, what it stretches, and what is left of it.

Four tensions are kept apart. The *pull* is what the pliers hold, per width of jaw: friction round the edge eats some of
it. The *prestrain* is the tension the cloth would have on a frame that does not give. The *peak* is the mean tension
just after the last staple, the frame having given way. The *left* is what remains once the cloth has settled.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log, pi

from longpoint.errors import OutOfRangeError
from longpoint.stretching.piece import Fastening
from longpoint.tables import ClothState, canvas_constant, habit

GRAVITY = 9.81  # [m/s²]


@dataclass(frozen=True, slots=True)
class Range:
    """An uncertain number, shown as the middle one and from–to.

    Attributes:
        low: From.
        middle: Most likely.
        high: To.
    """

    low: float
    middle: float
    high: float


def wrap_angle(fastened: Fastening) -> float:
    """How far the cloth turns round the bar before the staple.

    Args:
        fastened: Where it is stapled.

    Returns:
        A right angle on the side, two of them on the back. [rad]
    """
    return 0.5 * pi if fastened is Fastening.SIDE else pi


def capstan_factor(*, friction: float, wrap: float) -> float:
    """How much harder the pliers pull than the face, cloth slipping over the edge towards them.

    Args:
        friction: Coefficient between cloth and wood. [1]
        wrap: Angle the cloth turns round. [rad]

    Returns:
        Pull over face tension, 1 without friction. [1]

    Raises:
        OutOfRangeError: If friction or angle is below 0.

    References:
        Capstan equation, exp(friction × angle).
    """
    if friction < 0.0 or wrap < 0.0:
        msg = f"Friction and wrap must not be below 0, not {friction:g} and {wrap:g}."
        raise OutOfRangeError(msg)
    return exp(friction * wrap)


def pliers_force(*, tension: float, jaw: float, friction: float = 0.0, wrap: float = 0.0) -> float:
    """Force at the pliers that brings the face under the jaw to a tension.

    Args:
        tension: Face tension. [N/mm]
        jaw: Width of the jaws. [mm]
        friction: Between cloth and edge; 0 for none. [1]
        wrap: Angle the cloth turns round. [rad]

    Returns:
        Force. [N]
    """
    return tension * jaw * capstan_factor(friction=friction, wrap=wrap)


def tension_from_pliers(*, force: float, jaw: float, friction: float = 0.0, wrap: float = 0.0) -> float:
    """Face tension under the jaw for a force at the pliers.

    Args:
        force: At the pliers. [N]
        jaw: Width of the jaws, above 0. [mm]
        friction: Between cloth and edge; 0 for none. [1]
        wrap: Angle the cloth turns round. [rad]

    Returns:
        Face tension. [N/mm]

    Raises:
        OutOfRangeError: If the jaws have no width.
    """
    if jaw <= 0.0:
        msg = f"Jaws must be wider than 0 mm, not {jaw:g}."
        raise OutOfRangeError(msg)
    return force / (jaw * capstan_factor(friction=friction, wrap=wrap))


def staple_load(*, tension: float, spacing: float, friction: float = 0.0, wrap: float = 0.0) -> float:
    """Load along the surface on one staple.

    Args:
        tension: Face tension. [N/mm]
        spacing: From staple to staple. [mm]
        friction: Between cloth and edge where it has locked; 0 for none. [1]
        wrap: Angle the cloth turns round. [rad]

    Returns:
        Load: the edge takes its part of it if friction has locked. [N]
    """
    return tension * spacing / capstan_factor(friction=friction, wrap=wrap)


@dataclass(frozen=True, slots=True)
class PliersPull:
    """What to pull with.

    Attributes:
        jaw: Width of the jaws. [mm]
        tension: Face tension wanted. [N/mm]
        wrap: Angle the cloth turns round. [rad]
        without_friction: Force if the edge were slippery. [N]
        with_friction: Force against the friction of cloth on bare wood. [N]
        words: The same two in words.
        near_corners: Force near corners, from–to. [N]
    """

    jaw: float
    tension: float
    wrap: float
    without_friction: float
    with_friction: float
    words: str
    near_corners: tuple[float, float]

    @property
    def hand_can(self) -> bool:
        """Whether a hand can keep it up; from an estimate of what a hand can do."""
        return self.with_friction <= habit("hand pull, steady").value


def pliers_pull(*, tension: float, fastened: Fastening, jaw: float | None = None) -> PliersPull:
    """Force at the pliers for a face tension, with and without friction over the edge, and in words.

    Args:
        tension: Face tension wanted while pulling. [N/mm]
        fastened: Where it is stapled, which says how far the cloth turns round.
        jaw: Width of the jaws; None for the usual. [mm]

    Returns:
        The pull.
    """
    width = habit("jaw width").value if jaw is None else jaw
    wrap = wrap_angle(fastened)
    low = pliers_force(tension=tension, jaw=width)
    high = pliers_force(
        tension=tension, jaw=width, friction=canvas_constant("friction on pine").value, wrap=wrap
    )
    share = habit("pull near corners").value
    return PliersPull(
        jaw=width,
        tension=tension,
        wrap=wrap,
        without_friction=low,
        with_friction=high,
        words=f"from {weight_in_words(force=low)} (slippery edge) to {weight_in_words(force=high)} (bare wood)",
        near_corners=(share * low, share * high),
    )


# things with a weight that everyone has lifted
_WEIGHTS = (
    (0.1, "the weight of an apple"),
    (0.25, "the weight of a pack of butter"),
    (0.5, "the weight of half a litre of milk"),
    (1.0, "the weight of a litre of milk"),
    (2.0, "the weight of a 2-litre bottle"),
    (3.0, "the weight of a brick"),
    (5.0, "the weight of a 5-litre can of water"),
    (10.0, "the weight of a full bucket"),
    (20.0, "the weight of two full buckets"),
    (30.0, "the weight of three full buckets"),
    (50.0, "the weight of a sack of plaster and a bucket of water"),
)


def weight_in_words(*, force: float) -> str:
    """A force as the weight of something everyone has lifted.

    Args:
        force: Above 0. [N]

    Returns:
        "about the weight of a 2-litre bottle"; of things further off, what is nearest by factor.

    Raises:
        OutOfRangeError: If the force is not above 0.
    """
    if force <= 0.0:
        msg = f"A pull must be above 0 N, not {force:g}."
        raise OutOfRangeError(msg)
    mass = force / GRAVITY
    if mass > 2.0 * _WEIGHTS[-1][0]:
        return f"the weight of {mass:.0f} kg, more than a hand can pull"
    nearest = min(_WEIGHTS, key=lambda pair: abs(log(mass / pair[0])))
    return f"about {nearest[1]}"


# --- what stretches how far ---------------------------------------------------------------------------------------


def biaxial_tension(
    *,
    warp_stiffness: float,
    weft_stiffness: float,
    poisson_warp: float,
    poisson_weft: float,
    warp_strain: float,
    weft_strain: float,
) -> tuple[float, float]:
    """Tensions of cloth strained both ways.

    Args:
        warp_stiffness: Along warp. [N/mm]
        weft_stiffness: Along weft. [N/mm]
        poisson_warp: Thinning along weft for a pull along warp. [1]
        poisson_weft: Thinning along warp for a pull along weft. [1]
        warp_strain: Along warp. [1]
        weft_strain: Along weft. [1]

    Returns:
        Tension along warp and along weft. [N/mm]
    """
    coupling = 1.0 - poisson_warp * poisson_weft
    return (
        warp_stiffness / coupling * (warp_strain + poisson_weft * weft_strain),
        weft_stiffness / coupling * (weft_strain + poisson_warp * warp_strain),
    )


def biaxial_strain(
    *,
    warp_stiffness: float,
    weft_stiffness: float,
    poisson_warp: float,
    poisson_weft: float,
    warp_tension: float,
    weft_tension: float,
) -> tuple[float, float]:
    """Strains of cloth pulled both ways; the other way round of ``biaxial_tension``.

    Args:
        warp_stiffness: Along warp. [N/mm]
        weft_stiffness: Along weft. [N/mm]
        poisson_warp: Thinning along weft for a pull along warp. [1]
        poisson_weft: Thinning along warp for a pull along weft. [1]
        warp_tension: Along warp. [N/mm]
        weft_tension: Along weft. [N/mm]

    Returns:
        Strain along warp and along weft. [1]
    """
    return (
        warp_tension / warp_stiffness - poisson_weft * weft_tension / weft_stiffness,
        weft_tension / weft_stiffness - poisson_warp * warp_tension / warp_stiffness,
    )


@dataclass(frozen=True, slots=True)
class Stretch:
    """How much longer cloth becomes across the whole work, take-up at both edges included.

    Attributes:
        along_warp: Across the whole length along warp. [mm]
        along_weft: Across the whole length along weft. [mm]
        take_up: Part of it that goes into settling round the edges and at the staples. [mm]
    """

    along_warp: Range
    along_weft: Range
    take_up: float


def stretch_for(*, state: ClothState, tension: float, along_warp: float, along_weft: float) -> Stretch:
    """How far cloth must be drawn to reach a tension both ways. Wide ranges: cloth differs by a factor.

    Args:
        state: State of the cloth.
        tension: Wanted both ways. [N/mm]
        along_warp: Length of the face along warp. [mm]
        along_weft: Length of the face along weft. [mm]

    Returns:
        Ranges from the softest to the stiffest cloth of that state.
    """
    take_up = 2.0 * canvas_constant("take-up at an edge").value

    def drawn(warp: float, weft: float) -> tuple[float, float]:
        # the same thinning for soft and stiff cloth, shared so that reciprocity holds
        root = (warp / weft) ** 0.5
        found = biaxial_strain(
            warp_stiffness=warp,
            weft_stiffness=weft,
            poisson_warp=state.poisson * root,
            poisson_weft=state.poisson / root,
            warp_tension=tension,
            weft_tension=tension,
        )
        # the softer direction may even shorten on paper; a hand never pushes
        return (
            max(found[0], 0.0) * along_warp + take_up,
            max(found[1], 0.0) * along_weft + take_up,
        )

    soft = drawn(state.warp_low, state.weft_low)
    middle = drawn(state.warp, state.weft)
    stiff = drawn(state.warp_high, state.weft_high)
    return Stretch(
        along_warp=Range(stiff[0], middle[0], soft[0]),
        along_weft=Range(stiff[1], middle[1], soft[1]),
        take_up=take_up,
    )


def key_out(*, opening: float, length: float, stiffness: float) -> tuple[float, float]:
    """What opening the corners of a keyed frame adds.

    Args:
        opening: How much longer the side becomes. [mm]
        length: Of the side, above 0. [mm]
        stiffness: Of the cloth along that side. [N/mm]

    Returns:
        Strain added, and tension added. [1, N/mm]

    Raises:
        OutOfRangeError: If the side has no length.
    """
    if length <= 0.0:
        msg = f"A side must be longer than 0 mm, not {length:g}."
        raise OutOfRangeError(msg)
    strain = opening / length
    return strain, strain * stiffness


# --- what is left ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FourTensions:
    """The four tensions that are easily mistaken for one another.

    Attributes:
        pull: At the pliers over the jaws' width, friction overcome. [N/mm]
        prestrain: The cloth's tension if the frame did not give. [N/mm]
        peak: Mean just after the last staple, on the frame as it is. [N/mm]
        left: Mean once settled. [N/mm]
    """

    pull: Range
    prestrain: Range
    peak: Range
    left: Range


def settling_loss() -> Range:
    """Share of the tension that goes in the first days.

    Returns:
        From memory, raw or primed canvas. [1]
    """
    low = canvas_constant("lost in the first days, from").value
    high = canvas_constant("lost in the first days, to").value
    return Range(low, 0.5 * (low + high), high)


def _given_way(share: float) -> None:
    if not 0.0 <= share < 1.0:
        msg = f"The frame may take a share of 0 to below 1 of the tension, not {share:g}."
        raise OutOfRangeError(msg)


def pull_that_leaves(*, left: float, frame_takes: float, fastened: Fastening) -> FourTensions:
    """How hard to pull so that a mean tension is left.

    Args:
        left: Mean tension wanted once settled. [N/mm]
        frame_takes: Share of the prestrain the frame eats by giving way, 0 to below 1. [1]
        fastened: Where it is stapled.

    Returns:
        The four tensions; ranges from what cloth loses in its first days.
    """
    _given_way(frame_takes)
    loss = settling_loss()
    friction = canvas_constant("friction on pine").value
    factor = capstan_factor(friction=friction, wrap=wrap_angle(fastened))
    peak = Range(*(left / (1.0 - share) for share in (loss.low, loss.middle, loss.high)))
    prestrain = _times(peak, 1.0 / (1.0 - frame_takes))
    # without friction the least, with all of it the most
    pull = Range(prestrain.low, prestrain.middle * factor**0.5, prestrain.high * factor)
    return FourTensions(pull, prestrain, peak, Range(left, left, left))


def left_after_pull(*, prestrain: float, frame_takes: float, fastened: Fastening) -> FourTensions:
    """What is left of a prestrain.

    Args:
        prestrain: The cloth's tension if the frame did not give. [N/mm]
        frame_takes: Share of it the frame eats by giving way, 0 to below 1. [1]
        fastened: Where it is stapled.

    Returns:
        The four tensions.
    """
    _given_way(frame_takes)
    loss = settling_loss()
    friction = canvas_constant("friction on pine").value
    factor = capstan_factor(friction=friction, wrap=wrap_angle(fastened))
    peak = prestrain * (1.0 - frame_takes)
    return FourTensions(
        pull=Range(prestrain, prestrain * factor**0.5, prestrain * factor),
        prestrain=Range(prestrain, prestrain, prestrain),
        peak=Range(peak, peak, peak),
        left=Range(*(peak * (1.0 - share) for share in (loss.high, loss.middle, loss.low))),
    )


def _times(found: Range, factor: float) -> Range:
    return Range(found.low * factor, found.middle * factor, found.high * factor)
