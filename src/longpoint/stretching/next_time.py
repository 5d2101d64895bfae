"""Next time: taking cloth off, stretching again, using a frame again, lifting a ridge; and what is worth doing."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.stretching.piece import Fastening
from longpoint.stretching.steps import Advice, BenchStep
from longpoint.tables import habit, limit
from longpoint.units import LengthStyle

_MILLIMETRES = LengthStyle()


@dataclass(frozen=True, slots=True)
class Afterwards:
    """Something that can be done to a work later on.

    Attributes:
        key: Stable name.
        title: What.
        steps: How.
        worth_it: Whether it is worth doing for this work as it is planned.
        why: Why, or why not.
    """

    key: str
    title: str
    steps: tuple[BenchStep, ...]
    worth_it: bool
    why: Advice


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
        BenchStep("lay-it-down", "Lay it down", soft),
        BenchStep(
            "pull-the-staples",
            "Pull the staples",
            f"All {staples} of them, corners first and then along, so that the tension goes evenly. Lift the crown "
            "with a flat lever, then draw it straight out with pincers.",
            "pulling staples",
            (("staples", str(staples)),),
        ),
        BenchStep(
            "open-the-corners",
            "Open the corners",
            "Unfold them slowly; old folds are where cloth breaks. Mark which way was up.",
        ),
        BenchStep("off", "Off", away),
    )


def stretching_again(
    *, fastened: Fastening, staple_line: float, spacing: float, style: LengthStyle = _MILLIMETRES
) -> tuple[BenchStep, ...]:
    """How slack work is stretched again without taking the cloth off.

    Args:
        fastened: Where it is stapled.
        staple_line: From the face edge to the staple row, along the cloth. [mm]
        spacing: From staple to staple. [mm]
        style: How lengths are shown.

    Returns:
        Steps in order.
    """
    place = "side" if fastened is Fastening.SIDE else "back"
    group = f"{habit('staples in a run').value:.0f}"
    along, row = style.show(spacing), style.show(staple_line)
    near = style.show(habit("lighter within").value)
    return (
        BenchStep(
            "on-a-dry-day",
            "On a dry day",
            "Slackness that comes with damp air goes by itself: stretch in the air it will live in.",
        ),
        BenchStep(
            "run-by-run",
            "Run by run",
            f"Take out {group} staples in the middle of one side, pull gently, staple between the old holes (half of "
            f"{along} along, the row still {row} from the face edge on the {place}); the opposite side next, then "
            "outwards, never more than one run open at a time.",
            "pulling staples",
            (("staples in a run", group), ("spacing", along), ("staple line", row), ("place", place)),
        ),
        BenchStep(
            "lighter-near-the-corners",
            "Lighter near the corners",
            f"Within {near} of a corner two thirds of the pull, and stop while the paint still gives: a stiff ground "
            "cracks before the weave feels tight.",
            facts=(("lighter within", near),),
        ),
        BenchStep(
            "test", "Test", "Press test in the same bay as at the making, the same mass, the same place."
        ),
    )


def frame_again(*, style: LengthStyle = _MILLIMETRES) -> tuple[BenchStep, ...]:
    """How a frame is made ready for another canvas.

    Args:
        style: How lengths are shown.

    Returns:
        Steps in order.
    """
    fine = style.finer()
    square, wind, bow = (
        fine.show(limit(name).value) for name in ("out of square", "wind", "pulled in, long run")
    )
    return (
        BenchStep(
            "clean-it",
            "Clean it",
            "Every staple out, broken legs cut below the surface, glue off the lip.",
            "pulling staples",
        ),
        BenchStep(
            "check-it",
            "Check it",
            f"Diagonals within {square}, no more than {wind} of wind on a flat floor, each bar straight to a string "
            f"within {bow}, no corner that creaks.",
            facts=(("out of square", square), ("wind", wind), ("bow", bow)),
        ),
        BenchStep(
            "lip", "Lip", "Run it over with fine paper: staple holes raise burrs that print through.", "dust"
        ),
        BenchStep(
            "new-holes",
            "New holes",
            "Put the new row a few millimetres beside the old one; old holes hold nothing.",
        ),
    )


def lifting_ridge() -> tuple[BenchStep, ...]:
    """What to do about a mark that a bar or rail leaves in the paint.

    Returns:
        Steps in order.
    """
    return (
        BenchStep(
            "find-why",
            "Find why",
            "Look along the face in raking light: a line that follows a bar or a rail means canvas touches it. Slip a "
            "strip of thin card behind the canvas: where it sticks, it touches.",
        ),
        BenchStep(
            "free-the-canvas",
            "Free the canvas",
            "Stretch it again if it is slack. If it still touches, slide a strip of smooth card or thin board between "
            "bar and canvas while it is worked on, and take it out again.",
        ),
        BenchStep(
            "raw-or-primed-cloth-without-paint",
            "Raw or primed cloth without paint",
            "Moisten the back along the line with a barely damp sponge and let it dry under tension: a fresh ridge "
            "mostly goes.",
        ),
        BenchStep(
            "painted",
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
    frame_passes: bool | None,
    painted: bool,
    style: LengthStyle = _MILLIMETRES,
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
        frame_passes: Whether the frame keeps its limits; None if that was not computed.
        painted: Whether paint is on it.
        style: How lengths are shown.

    Returns:
        Four things, each with steps and a verdict.
    """
    flaps = limit("least tension anywhere").value
    enough = on_back >= habit("least tail").value
    slack = min(tension_left, lowest_of_year) < flaps
    touches = touching_load is not None and touching_load < limit("touching load").value
    return (
        Afterwards(
            "stretching-again",
            "Stretching slack work again",
            stretching_again(fastened=fastened, staple_line=staple_line, spacing=spacing, style=style),
            slack and enough and not keyed,
            _again(
                slack=slack, keyed=keyed, lowest=lowest_of_year, held=None if enough else style.show(on_back)
            ),
        ),
        Afterwards(
            "taking-off",
            "Taking the cloth off",
            taking_off(staples=staples, painted=painted),
            frame_passes is False,
            Advice(
                "taking-off-costs",
                "Only to move the painting to a better frame or to roll it: every time costs the folds something.",
            ),
        ),
        Afterwards(
            "frame-again",
            "Using the frame again",
            frame_again(style=style),
            frame_passes is True,
            _frame(frame_passes),
        ),
        Afterwards(
            "lifting-ridge",
            "Lifting a ridge",
            lifting_ridge(),
            touches,
            _ridge(touching_load, touches=touches),
        ),
    )


def _again(*, slack: bool, keyed: bool, lowest: float, held: str | None) -> Advice:
    flaps = f"{1000 * limit('least tension anywhere').value:.0f} N/m"
    least = f"{round(1000 * lowest, -1):.0f} N/m"  # cloth is known no finer: as every page says tensions
    facts = (("flaps below", flaps), ("lowest of the year", least))
    if not slack:
        return Advice(
            "again-not-needed",
            f"Not needed: the year stays above the {flaps} where canvas begins to flap (lowest {least}, estimate).",
            facts,
        )
    if held is not None:
        return Advice(
            "again-nothing-to-hold",
            f"Slack, but {held} of cloth gives the pliers nothing to hold: leave more next time.",
            (("cloth to hold", held),),
        )
    if keyed:
        return Advice(
            "again-keys-first", "Slack, but the frame has keys: try those first, and only in dry air."
        )
    return Advice(
        "again-worth-it", f"Worth it when it stays below {flaps} in the driest weeks of the year.", facts
    )


def _frame(passes: bool | None) -> Advice:
    if passes is None:
        return Advice(
            "frame-unknown", "Not computed for this work: longpoint check says whether it keeps its limits."
        )
    if passes:
        return Advice(
            "frame-good", "Worth it: the frame keeps its limits and takes another canvas of this size."
        )
    return Advice(
        "frame-weak",
        "Not worth a new canvas as it is: brace it first, or use its timber for a smaller one.",
    )


def _ridge(load: float | None, *, touches: bool) -> Advice:
    if load is None:
        return Advice(
            "ridge-unknown",
            "Not computed for this work: look along the face in raking light after the first priming.",
        )
    if not touches:
        return Advice("ridge-not-expected", "Not expected: canvas stays clear of timber under a brush.")
    push = f"{load:.1f} N"
    return Advice(
        "ridge-likely",
        f"Likely here: a push of {push} already brings canvas on to timber. Look after the first priming.",
        (("push", push),),
    )
