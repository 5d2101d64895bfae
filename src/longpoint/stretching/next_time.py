"""Next time: taking cloth off, stretching again, using a frame again, lifting a ridge; and what is worth doing."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.stretching.piece import Fastening
from longpoint.stretching.steps import BenchStep
from longpoint.tables import habit, limit


@dataclass(frozen=True, slots=True)
class Afterwards:
    """Something that can be done to a work later on.

    Attributes:
        title: What.
        steps: How.
        worth_it: Whether it is worth doing for this work as it is planned.
        why: One sentence.
    """

    title: str
    steps: tuple[BenchStep, ...]
    worth_it: bool
    why: str


def taking_off(*, staples: int, painted: bool) -> tuple[BenchStep, ...]:
    """How cloth comes off.

    Args:
        staples: How many hold it.
        painted: Whether paint is on it.

    Returns:
        Steps in order.
    """
    soft = (
        "Warm the room for a day: cold paint is brittle. Lay the work face down on a clean soft sheet."
        if painted
        else "Lay the work face down on a clean sheet."
    )
    away = (
        "Lift it off flat, two people; roll it paint side out round a tube 150 mm thick or more, or keep it flat."
        if painted
        else "Lift it off and roll it."
    )
    return (
        BenchStep("Lay it down", soft),
        BenchStep(
            "Pull the staples",
            f"All {staples} of them, corners first and then along, so that the tension goes evenly. Lift the crown "
            "with a flat lever, then draw it straight out with pincers.",
            "pulling staples",
        ),
        BenchStep(
            "Open the corners", "Unfold them slowly; old folds are where cloth breaks. Mark which way was up."
        ),
        BenchStep("Off", away),
    )


def stretching_again(*, fastened: Fastening, staple_line: float, spacing: float) -> tuple[BenchStep, ...]:
    """How slack work is stretched again without taking the cloth off.

    Args:
        fastened: Where it is stapled.
        staple_line: From the face edge to the staple row, along the cloth. [mm]
        spacing: From staple to staple. [mm]

    Returns:
        Steps in order.
    """
    place = "side" if fastened is Fastening.SIDE else "back"
    group = habit("staples in a run").value
    return (
        BenchStep(
            "On a dry day",
            "Slackness that comes with damp air goes by itself: stretch in the air it will live in.",
        ),
        BenchStep(
            "Run by run",
            f"Take out {group:.0f} staples in the middle of one side, pull gently, staple between the old holes (half "
            f"of {spacing:.0f} mm along, the row still {staple_line:.0f} mm from the face edge on the {place}); the "
            "opposite side next, then outwards, never more than one run open at a time.",
            "pulling staples",
        ),
        BenchStep(
            "Lighter near the corners",
            f"Within {habit('lighter within').value:.0f} mm of a corner two thirds of the pull, and stop while the "
            "paint still gives: a stiff ground cracks before the weave feels tight.",
        ),
        BenchStep("Test", "Press test in the same bay as at the making, the same mass, the same place."),
    )


def frame_again() -> tuple[BenchStep, ...]:
    """How a frame is made ready for another canvas.

    Returns:
        Steps in order.
    """
    return (
        BenchStep(
            "Clean it",
            "Every staple out, broken legs cut below the surface, glue off the lip.",
            "pulling staples",
        ),
        BenchStep(
            "Check it",
            f"Diagonals within {limit('out of square').value:g} mm, no more than {limit('wind').value:g} mm of wind on "
            f"a flat floor, each bar straight to a string within {limit('pulled in, long run').value:g} mm, no corner "
            "that creaks.",
        ),
        BenchStep("Lip", "Run it over with fine paper: staple holes raise burrs that print through.", "dust"),
        BenchStep(
            "New holes", "Put the new row a few millimetres beside the old one; old holes hold nothing."
        ),
    )


def lifting_ridge() -> tuple[BenchStep, ...]:
    """What to do about a mark that a bar or rail leaves in the paint.

    Returns:
        Steps in order.
    """
    return (
        BenchStep(
            "Find why",
            "Look along the face in raking light: a line that follows a bar or a rail means canvas touches it. Slip a "
            "strip of thin card behind the canvas: where it sticks, it touches.",
        ),
        BenchStep(
            "Free the canvas",
            "Stretch it again if it is slack. If it still touches, slide a strip of smooth card or thin board between "
            "bar and canvas while it is worked on, and take it out again.",
        ),
        BenchStep(
            "Raw or primed cloth without paint",
            "Moisten the back along the line with a barely damp sponge and let it dry under tension: a fresh ridge "
            "mostly goes.",
        ),
        BenchStep(
            "Painted",
            "Leave it to someone trained in it if the painting matters: water and heat behind paint can lift it off.",
        ),
    )


def next_time(
    *,
    tension_left: float,
    lowest_of_year: float,
    keyed: bool,
    touching_load: float | None,
    staples: int,
    fastened: Fastening,
    staple_line: float,
    spacing: float,
    on_back: float,
    frame_passes: bool,
    painted: bool,
) -> tuple[Afterwards, ...]:
    """What can be done to this work later, and what of it is worth doing.

    Args:
        tension_left: Planned or measured. [N/mm]
        lowest_of_year: Lowest tension of the year. [N/mm]
        keyed: Whether the corners open with keys.
        touching_load: Push at which canvas first touches timber; None if not known. [N]
        staples: How many hold the cloth.
        fastened: Where it is stapled.
        staple_line: From the face edge to the staple row, along the cloth. [mm]
        spacing: From staple to staple. [mm]
        on_back: Cloth left beyond the back arris, or beyond the staple row on the side. [mm]
        frame_passes: Whether the frame keeps its limits.
        painted: Whether paint is on it.

    Returns:
        Four things, each with steps and a verdict.
    """
    flaps = limit("least tension anywhere").value
    enough = on_back >= habit("least tail").value
    slack = min(tension_left, lowest_of_year) < flaps
    if not slack:
        again_why = (
            f"Not needed: the year stays above the {1000 * flaps:.0f} N/m where canvas begins to flap "
            f"(lowest {1000 * lowest_of_year:.0f} N/m, estimate)."
        )
    elif not enough:
        again_why = (
            f"Slack, but {on_back:.0f} mm of cloth gives the pliers nothing to hold: leave more next time."
        )
    elif keyed:
        again_why = "Slack, but the frame has keys: try those first, and only in dry air."
    else:
        again_why = f"Worth it when it stays below {1000 * flaps:.0f} N/m in the driest weeks of the year."
    touch = limit("touching load").value
    touches = touching_load is not None and touching_load < touch
    frame_why = (
        "Worth it: the frame keeps its limits and takes another canvas of this size."
        if frame_passes
        else "Not worth a new canvas as it is: brace it first, or use its timber for a smaller one."
    )
    ridge_why = (
        f"Likely here: a push of {touching_load:.1f} N already brings canvas on to timber. Look after the first "
        "priming."
        if touches
        else "Not expected: canvas stays clear of timber under a brush."
    )
    return (
        Afterwards(
            "Stretching slack work again",
            stretching_again(fastened=fastened, staple_line=staple_line, spacing=spacing),
            slack and enough and not keyed,
            again_why,
        ),
        Afterwards(
            "Taking the cloth off",
            taking_off(staples=staples, painted=painted),
            not frame_passes,
            "Only to move the painting to a better frame or to roll it: every time costs the folds something.",
        ),
        Afterwards("Using the frame again", frame_again(), frame_passes, frame_why),
        Afterwards("Lifting a ridge", lifting_ridge(), touches, ridge_why),
    )
