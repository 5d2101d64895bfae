"""What was measured at the bench, read from a form and answered in a reader's words."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, cast

from longpoint.drawing.words.pounds import with_pounds
from longpoint.drawing.words.voice import Voice
from longpoint.errors import FaultsError
from longpoint.joinery.square import Corner, MeasuredFrame, SquareAnswer, check_square
from longpoint.joinery.wind import NEIGHBOURS, OVER, Glue, check_wind
from longpoint.replanning.cautions import FAR_OFF
from longpoint.stretching.strips import StripsAnswer, read_strips
from longpoint.units import N_PER_METRE, QuantityError, parse_length

Wrong = dict[str, list[str]]
Say = Callable[..., str]
Answered = list[dict[str, Any]]

SIDES = ("bottom", "top", "left", "right")
CORNERS = tuple(corner.replace(" ", "-") for corner in NEIGHBOURS)
GLUES = tuple(OVER)
FARTHEST = 100_000.0
"""No tape at the bench reaches further. [mm] Estimate."""
HEAVIEST = 20_000.0
"""Nothing heavier is laid or hung on a canvas. [g] Estimate."""


def lengths_in(
    given: Mapping[str, str], names: Sequence[str], *, system: str, say: Say
) -> tuple[dict[str, float], Wrong]:
    """Lengths as they were typed; a field left empty is left out.

    Args:
        given: What was typed, by field.
        names: The fields.
        system: Unit of bare numbers.
        say: How the page speaks.

    Returns:
        Lengths by field [mm], and what is wrong with a field.
    """
    found: dict[str, float] = {}
    wrong: Wrong = {}
    for name in names:
        text = given.get(name, "").strip()
        if not text:
            continue
        try:
            length = float(parse_length(text, unit=system))
        except QuantityError:
            wrong[name] = [say("measured.no-length", text=text)]
            continue
        if length > FARTHEST:
            wrong[name] = [say("measured.too-far")]
        else:
            found[name] = length
    return found, wrong


def grams_in(given: Mapping[str, str], name: str, *, say: Say) -> tuple[float | None, Wrong]:
    """A mass as it was typed, in grams; None where the field was left empty."""
    text = given.get(name, "").strip().removesuffix("g").strip().replace(",", ".")
    if not text:
        return None, {}
    try:
        mass = float(text)
    except ValueError:
        mass = 0.0
    if not 0 < mass <= HEAVIEST:
        return None, {name: [say("measured.no-mass", text=given[name].strip())]}
    return mass, {}


def fitting(
    frame: Mapping[str, Any], given: Mapping[str, str], *, system: str, say: Say, shown: Voice
) -> tuple[Wrong, Answered, dict[str, float]]:
    """Answers measured sides and diagonals and a lifted corner.

    Args:
        frame: Width and height by the plan. [mm]
        given: What was typed: ``one`` diagonal, from near left to far right, the ``other``, the sides, ``wind``,
            ``corner`` and ``glue``.
        system: Unit of bare numbers.
        say: How the page speaks.
        shown: How it says lengths.

    Returns:
        What is wrong with a field, by its name; the answers, each with its words and whether something is to do; and
        what was measured as the build book names it. [mm]
    """
    lengths, wrong = lengths_in(given, ("one", "other", "wind", *SIDES), system=system, say=say)
    if not wrong and ("one" in lengths) != ("other" in lengths):
        wrong["other" if "one" in lengths else "one"] = [say("fit.both")]
    if not wrong and "one" not in lengths and any(side in lengths for side in SIDES):
        wrong["one"] = [say("fit.both")]
    if not wrong and not lengths:
        wrong["one"] = [say("measured.nothing")]
    if wrong:
        return wrong, [], {}
    width, height = float(frame["width"]), float(frame["height"])
    found: Answered = []
    kept = {name: lengths[name] for name in SIDES if name in lengths}
    try:
        if "one" in lengths:
            kept |= {"rising": lengths["one"], "falling": lengths["other"]}
            bottom, left = lengths.get("bottom", width), lengths.get("left", height)
            square = check_square(
                MeasuredFrame(
                    bottom=bottom,
                    top=lengths.get("top", bottom),
                    left=left,
                    right=lengths.get("right", left),
                    rising=lengths["one"],
                    falling=lengths["other"],
                ),
                planned_width=width,
                planned_height=height,
            )
            found += _square(square, say, shown)
        if "wind" in lengths:
            kept["wind"] = lengths["wind"]
            found.append(_wind(width, height, lengths["wind"], given, say, shown))
    except FaultsError as error:
        fields = {"rising": "one", "falling": "other", "lift": "wind"}
        for fault in error.faults:
            field = fields.get(fault.where.key, fault.where.key)
            wrong.setdefault(field if field in (*SIDES, "one", "other", "wind") else "one", []).append(
                say(f"fit.fault-{fault.code}")
            )
        return wrong, [], {}
    return wrong, found, kept


def _square(square: SquareAnswer, say: Say, shown: Voice) -> Answered:
    def length(value: float) -> str:
        return shown.fine(value, unit=True)

    words = say(
        "fit.square" if square.push is None else "fit.push",
        out=length(abs(square.difference)),
        limit=length(square.limit),
        by=length(square.by),
        until=length(square.until),
        push=say(f"corner.{square.push.replace(' ', '-')}") if square.push else "",
        towards=say(f"corner.{square.towards.replace(' ', '-')}") if square.towards else "",
    )
    found: Answered = [{"bad": square.push is not None, "words": words}]
    for one in square.wrong:
        key = "fit.side-longer" if one.by > 0 else "fit.side-shorter"
        against = one.against.removeprefix("the ")
        found.append(
            {
                "bad": True,
                "words": say(
                    key,
                    side=say(f"fit.{one.side}"),
                    by=length(abs(one.by)),
                    against=say("fit.the-plan") if against == "plan" else say(f"fit.{against}"),
                ),
            }
        )
    return found


def _wind(
    width: float, height: float, lift: float, given: Mapping[str, str], say: Say, shown: Voice
) -> dict[str, Any]:
    corner = given.get("corner", "") if given.get("corner") in CORNERS else "top-right"
    glue = given.get("glue", "") if given.get("glue") in GLUES else "setting"
    lifted = cast("Corner", corner.replace("-", " "))
    wind = check_wind(width=width, height=height, lift=lift, corner=lifted, glue=cast("Glue", glue))
    key = {"accept": "fit.flat", "live with it": "fit.live"}.get(wind.verdict) or (
        "fit.clamp" if wind.pack else "fit.clamp-open"
    )
    first, second, opposite = (say(f"corner.{name.replace(' ', '-')}") for name in NEIGHBOURS[lifted])
    values = {
        name: shown.fine(value, unit=True)
        for name, value in (
            ("lift", wind.lift), ("limit", wind.limit), ("pack", wind.pack), ("off", wind.off_wall), ("pad", wind.pad),
        )
    }  # fmt: skip
    words = say(key, corner=say(f"corner.{corner}"), first=first, second=second, opposite=opposite, **values)
    return {"bad": wind.verdict != "accept", "words": words}


def lengths_told(told: Mapping[str, Any], say: Say, shown: Voice) -> dict[str, Any]:
    """Lengths of what is cut next, as a table's rows.

    Args:
        told: What the warm process answered.
        say: How the page speaks.
        shown: How it says lengths.
    """
    rows = []
    for row in told["rows"]:
        rows.append(
            {
                "mark": row["mark"],
                "count": row["count"],
                "planned": shown.fine(row["planned"], unit=True),
                "expected": shown.fine(row["expected"], unit=True),
                "cut": "" if row["measured"] is None else shown.fine(row["measured"], unit=True),
                "far": abs(row["off"]) > FAR_OFF / 1e6,
            }
        )
    return {"rows": rows, "thickness": shown.fine(told["thickness"], unit=True)}


def press_told(told: Mapping[str, Any], say: Say, shown: Voice) -> Answered:
    """What a press test says, in sentences.

    Args:
        told: What the warm process answered.
        say: How the page speaks.
        shown: Whether pounds stand behind newtons.
    """

    def tension(value: float) -> str:
        return f"{value:.0f} N/m"

    bad = told["verdict"] != "right"
    key = told["advice"].replace(",", "").replace(" ", "-")
    verdict = say(f"press.is-{told['verdict'].replace(' ', '-')}")
    values = {name: f"{told[name]:.0f}" for name in ("tension", "low", "high")}
    lines = [
        (bad, say("press.reads", verdict=verdict, wished=tension(told["wished"]), **values)),
        (bad, say(f"press.do-{key}")),
    ]
    if not told["sure"]:
        lines.append((False, say("press.unsure")))
    if told["bears"] is not None:
        beyond = told["tension"] > told["bears"]
        gate = (
            "press.beyond" if beyond else "press.perhaps" if told["high"] > told["bears"] else "press.bears"
        )
        lines.append((beyond, say(gate, bears=tension(told["bears"]))))
    lines += [(False, line) for line in told["mind"]]
    return [{"bad": is_bad, "words": with_pounds(words, shown)} for is_bad, words in lines]


def strips(given: Mapping[str, str], *, system: str, say: Say) -> tuple[Wrong, StripsAnswer | None]:
    """What two strips of cloth say; None where it cannot be read.

    Args:
        given: What was typed: ``marks``, ``loose``, ``hung``, ``width``, ``mass``.
        system: Unit of bare numbers.
        say: How the page speaks.
    """
    names = ("marks", "loose", "hung", "width")
    lengths, wrong = lengths_in(given, names, system=system, say=say)
    mass, of_mass = grams_in(given, "mass", say=say)
    wrong |= of_mass
    for name in names:
        if name not in lengths and name not in wrong:
            wrong[name] = [say("measured.missing")]
    if mass is None and "mass" not in wrong:
        wrong["mass"] = [say("measured.missing")]
    if wrong or mass is None:
        return wrong, None
    try:
        return {}, read_strips(**lengths, mass=mass / 1000)
    except FaultsError as error:
        for fault in error.faults:
            field = fault.where.key.lstrip("-")
            wrong.setdefault(field if field in (*names, "mass") else "loose", []).append(
                say(f"strips.fault-{fault.code}")
            )
        return wrong, None


def strips_told(found: StripsAnswer, say: Say, shown: Voice) -> tuple[list[str], int]:
    """What two strips say, in sentences, and the tension that is written under the cloth. [N/m]"""
    low, likely, high = (
        max(int(round(N_PER_METRE * each, -1)), 10)
        for each in (found.tension.low, found.tension.middle, found.tension.high)
    )
    lines = [
        say(
            "strips.shrank",
            loose=shown.number(100 * found.loose, places=1),
            hung=shown.number(100 * found.hung, places=1),
            load=f"{N_PER_METRE * found.load:.0f}",
        ),
        say("strips.pulls", likely=likely, low=low, high=high),
    ]
    if found.far:
        lines.append(say("strips.far"))
    return [with_pounds(line, shown) for line in lines], likely
