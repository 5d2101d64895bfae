"""What measured diagonals and a lifted corner say of a frame, in a reader's words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from longpoint.errors import FaultsError
from longpoint.joinery.square import MeasuredFrame, check_square
from longpoint.joinery.wind import check_wind
from longpoint.units import QuantityError, parse_length
from longpoint.web.told.voices import voice_for

Wrong = dict[str, list[str]]


def fitting(
    frame: Mapping[str, Any], given: Mapping[str, str], *, system: str, say: Callable[..., str]
) -> tuple[Wrong, list[dict[str, Any]]]:
    """Answers measured diagonals and a lifted corner.

    Args:
        frame: Width and height by the plan. [mm]
        given: What was typed: ``one`` diagonal, from near left to far right, the ``other``, and ``wind``.
        system: Unit of bare numbers and of the answer.
        say: How the page speaks.

    Returns:
        What is wrong with a field, by its name; and the answers, each with its words and whether something is to do.
    """
    wrong: Wrong = {}
    lengths: dict[str, float] = {}
    for name, text in given.items():
        if not text.strip():
            continue
        try:
            lengths[name] = float(parse_length(text, unit=system))
        except QuantityError as error:
            wrong[name] = [f"{error}."]
    if not wrong and ("one" in lengths) != ("other" in lengths):
        wrong["other" if "one" in lengths else "one"] = [say("fit.both")]
    if wrong:
        return wrong, []
    width, height = float(frame["width"]), float(frame["height"])
    shown = voice_for("en", system)

    def length(value: float) -> str:
        return shown.fine(value, unit=True)

    found: list[dict[str, Any]] = []
    try:
        if "one" in lengths:
            measured = MeasuredFrame(
                bottom=width,
                top=width,
                left=height,
                right=height,
                rising=lengths["one"],
                falling=lengths["other"],
            )
            square = check_square(measured, planned_width=width, planned_height=height)
            key = "fit.square" if square.push is None else "fit.push"
            words = say(
                key,
                out=length(abs(square.difference)),
                limit=length(square.limit),
                by=length(square.by),
                until=length(square.until),
                push=say(f"corner.{square.push.replace(' ', '-')}") if square.push else "",
                towards=say(f"corner.{square.towards.replace(' ', '-')}") if square.towards else "",
            )
            found.append({"bad": square.push is not None, "words": words})
        if "wind" in lengths:
            wind = check_wind(width=width, height=height, lift=lengths["wind"])
            key = {"accept": "fit.flat", "clamp": "fit.clamp", "live with it": "fit.live"}[wind.verdict]
            words = say(
                key,
                lift=length(wind.lift),
                limit=length(wind.limit),
                pack=length(wind.pack),
                off=length(wind.off_wall),
            )
            found.append({"bad": wind.verdict != "accept", "words": words})
    except FaultsError as error:
        wrong["one" if "one" in lengths else "wind"] = [
            f"{fault.what} {fault.remedy}".strip() for fault in error.faults
        ]
    return wrong, found
