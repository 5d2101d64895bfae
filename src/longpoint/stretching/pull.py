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
from longpoint.stretching.ranges import Range
from longpoint.tables import canvas_constant, habit

GRAVITY = 9.81  # [m/s²]


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
    prestrain = peak.times(1.0 / (1.0 - frame_takes))
    # without friction the least, with all of it the most
    pull = Range(prestrain.low, prestrain.middle * factor**0.5, prestrain.high * factor)
    return FourTensions(pull, prestrain, peak, Range(left, left, left))
