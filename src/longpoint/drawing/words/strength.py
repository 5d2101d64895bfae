"""Verdicts in a painter's words: one sentence each, its limit, what would meet it, what to check it by."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from longpoint.drawing.sheets.stages_table import rough
from longpoint.drawing.words.members import member_words, side_words
from longpoint.drawing.words.voice import Voice
from longpoint.frame import FrameDesign
from longpoint.strength.verdicts.verdict import UNSEEN, Remedy, Verdict

if TYPE_CHECKING:
    from longpoint.strength.study import StudyResult

_SHARES = ("tension-spread", "corner-use", "join-use", "seam-bolt", "timber-use")

_FINE = ("corner-opening", "seam-opening", "seam-step")
"""Verdicts on gaps: hundredths of a millimetre, or all of them would read 0.0."""

MISSES_NAMED = 3
"""Missed limits that are named in one sentence; the page of the design names all."""

_SMALL_LENGTHS = (
    *("bow", "with_bow", "natural", "allowed", "clearance"),
    *("gape", "gape_hollow", "weighs", "behind", "hollow_hung", "hollow_lying"),
)


def small_length(value: float, say: Voice) -> str:
    """A movement: tenths of a millimetre, or thousandths of an inch where inches are shown."""
    if value >= 1e5:
        return say("strength.boundless")
    if say.lengths.system == "in":
        return f"{say.number(value / 25.4, places=3)} in"
    if abs(value) >= 20:
        return f"{say.number(value)} mm"
    return f"{say.number(value, places=1)} mm"


def tension_words(value: float, say: Voice) -> str:
    """A tension in N/m from N/mm, as it stands on every page."""
    return f"{rough(value, say)} N/m"


def amount(value: float, verdict: Verdict, say: Voice) -> str:
    """A number of a verdict with its unit."""
    return quantity_words(value, verdict.unit, verdict.key, say)


def quantity_words(value: float, unit: str, key: str, say: Voice) -> str:
    """A number with its unit, as its verdict shows it."""
    match unit:
        case "mm" if key in _FINE and say.lengths.system != "in" and abs(value) < 1:
            return f"{say.number(value, places=2)} mm"
        case "mm":
            return small_length(value, say)
        case "N/mm":
            return tension_words(value, say)
        case "deg":
            return f"{say.number(value, places=1)}°"
        case "N":
            return f"{say.number(value, places=1)} N"
        case "kg":
            return f"{say.number(value, places=1)} kg"
    if key in _SHARES:
        return f"{say.number(100 * value)} %"
    return say.number(min(value, 99), places=1)


def place_words(verdict: Verdict, say: Voice) -> str:
    """The bar or member a verdict is about."""
    return member_words(verdict.place, say) if verdict.place else ""


def _value_words(verdict: Verdict, say: Voice) -> str:
    """The judged number; one that rounds to the limit it misses is shown finer."""
    words = amount(verdict.value, verdict, say)
    if verdict.passes is not False or verdict.limit is None or words != amount(verdict.limit, verdict, say):
        return words
    if verdict.key in _SHARES:
        return f"{say.number(100 * verdict.value, places=1)} %"
    scale, unit = (1000.0, "N/m") if verdict.unit == "N/mm" else (1.0, verdict.unit)
    return f"{say.number(scale * verdict.value, places=2)} {unit}".removesuffix(" 1").replace(" deg", "°")


def _values(verdict: Verdict, say: Voice) -> dict[str, str]:
    found = {
        "value": _value_words(verdict, say),
        "low": amount(verdict.low, verdict, say),
        "high": amount(verdict.high, verdict, say),
        "place": place_words(verdict, say),
        "bound": bound_words(verdict, say),
    }
    for name, number in verdict.numbers:
        found[name] = _number(name, number, say)
    return found


def _number(name: str, number: float, say: Voice) -> str:
    if name == "length":
        return say.length(number, unit=True)
    if name in _SMALL_LENGTHS:
        return small_length(number, say)
    if name in ("across", "up"):
        if abs(number) < 0.05:
            return say(f"weight.even-{name}")
        words = ("right", "left") if name == "across" else ("above", "below")
        return say(f"weight.{words[number < 0]}", length=small_length(abs(number), say))
    if name in ("along_x", "along_y", "lowest", "highest", "critical", "bears", "most"):
        return tension_words(number / 1000, say)
    if name in ("moment", "torsion"):
        return f"{say.number(number, places=1)} N·m"
    if name in ("screw", "thrust", "pull", "slide"):
        return f"{say.number(number)} N"
    if name in ("bending", "shear", "strength"):
        return f"{say.number(number, places=1)} N/mm²"
    if name in ("in_plane", "kink"):
        return f"{say.number(number, places=2)}°"
    if name == "left":
        return f"{say.number(100 * number)} %"
    if name == "count":
        return say.number(number)
    return say.number(number, places=1)


def verdict_sentence(verdict: Verdict, say: Voice) -> str:
    """What was found, one sentence."""
    key = f"verdict.{verdict.key}"
    if verdict.key.startswith("touch") and verdict.number("never"):
        key += "-never"
    if any(name == "left" for name, _ in verdict.numbers):
        key += "-weakened"
    return say(key, **_values(verdict, say))


def verdict_name(verdict: Verdict, say: Voice) -> str:
    """What a verdict is called."""
    return say(f"verdict-name.{verdict.key}")


def bound_words(verdict: Verdict, say: Voice) -> str:
    """The limit alone, e.g. ``at most 1.5 mm``."""
    if verdict.limit is None:
        return say("limit.none")
    key = "limit.at-most" if verdict.sense == "at most" else "limit.at-least"
    return say(key, limit=amount(verdict.limit, verdict, say))


def verdict_rows(verdicts: Sequence[Verdict], say: Voice) -> tuple[tuple[Verdict, tuple[str, ...]], ...]:
    """Verdicts as a table: what, likely, from and to over all cases, held against.

    Args:
        verdicts: The verdicts.
        say: How the sheet speaks.

    Returns:
        Each verdict with its cells.
    """
    return tuple(
        (
            one,
            (
                verdict_name(one, say),
                _value_words(one, say),
                "" if one.low == one.high else f"{amount(one.low, one, say)} – {amount(one.high, one, say)}",
                bound_words(one, say) + ("*" if one.limit is not None and one.tag == "estimate" else ""),
            ),
        )
        for one in verdicts
    )


def limit_words(verdict: Verdict, say: Voice) -> str:
    """The limit with where it comes from."""
    bound = bound_words(verdict, say)
    if verdict.limit is None:
        return bound
    if verdict.tag in ("read", "transcribed"):
        return say("limit.read", bound=bound, source=verdict.source)
    return say("limit.marked", bound=bound, tag=say(f"limit.tag-{verdict.tag.replace(' ', '-')}"))


def kept_words(verdicts: Sequence[Verdict], say: Voice) -> str:
    """How many limits are kept, and the one with the least room, in one line."""
    judged = [verdict for verdict in verdicts if verdict.passes is not None]
    kept = [verdict for verdict in judged if verdict.passes]
    nearest = max(kept, key=lambda verdict: verdict.use, default=None)
    if nearest is None:
        return say("limit.kept", kept=len(kept), judged=len(judged))
    return say(
        "limit.kept-nearest",
        kept=len(kept),
        judged=len(judged),
        name=verdict_name(nearest, say),
        value=amount(nearest.value, nearest, say),
        bound=bound_words(nearest, say),
    )


def miss_words(verdict: Verdict, say: Voice) -> str:
    """What a verdict says of a design that does not keep it, without a full stop."""
    return say(f"miss.{verdict.key}", **_values(verdict, say))


def price_words(price: float | None, timber: float, say: Voice, *, currency: str = "") -> str:
    """A price, or metres (feet) of timber where nothing is priced."""
    if price is None:
        return say.run(1000.0 * timber)
    return f"{say.number(price, places=2)} {currency}".strip()


def remedy_words(remedy: Remedy, verdict: Verdict, say: Voice, *, currency: str = "") -> str:
    """What would meet a limit, with its price."""
    parts = [_remedy_part(what, remedy, say) for what in remedy.what]
    what = (
        parts[0]
        if len(parts) == 1
        else say("remedy.and", first=parts[0], second=parts[1][:1].lower() + parts[1][1:])
    )
    price = ""
    if remedy.price is not None and remedy.price > 0.005:
        price = say("remedy.for-money", price=price_words(remedy.price, 0, say, currency=currency))
    elif remedy.price is not None and remedy.price < -0.005:
        price = say("remedy.saves-money", price=price_words(-remedy.price, 0, say, currency=currency))
    elif remedy.timber > 0.05:
        price = say("remedy.for-timber", timber=price_words(None, remedy.timber, say))
    plural = remedy.what[0] not in ("cross-rail", "middle-pieces", "bevel") or len(parts) > 1
    return say(
        "remedy.sentence",
        what=what,
        brings=say("remedy.bring" if plural else "remedy.brings"),
        before=amount(verdict.value, verdict, say),
        after=amount(remedy.value, verdict, say),
        price=price,
    )


def no_remedy_words(verdict: Verdict, say: Voice) -> str:
    """What to do where nothing tried meets a limit."""
    own = f"remedy.none-{verdict.key}"
    return say(own if say.has(own) else "remedy.none")


def way_out_words(verdict: Verdict, say: Voice, *, currency: str = "", otherwise: str = "") -> str:
    """What would meet a missed limit, or what to do where nothing tried does.

    Args:
        verdict: The limit.
        say: How it is said.
        currency: Behind the price of what would.
        otherwise: What makes the whole work hold where no single change meets this limit; "" where nothing does.
    """
    if verdict.remedy is None:
        return otherwise or no_remedy_words(verdict, say)
    return remedy_words(verdict.remedy, verdict, say, currency=currency)


def _remedy_part(what: str, remedy: Remedy, say: Voice) -> str:
    numbers = dict(remedy.numbers)
    if what.startswith("end-rails:"):
        sides = what.removeprefix("end-rails:").split("+")
        return say(
            "remedy.end-rails", sides=say("design.sides-and").join(say(f"side.{side}") for side in sides)
        )
    sizes = {"thicker": "thickness", "deeper": "depth", "bevel": "fall", "drop": "drop"}
    size = sizes.get(what.split("-")[0])
    if size is not None:
        return say(f"remedy.{what}", **{size: say.fine(numbers[size], unit=True)})
    return say(f"remedy.{what}")


_CORNERS = ("mitre with gusset", "mitre with glue block", "half-lap")
"""Corners that are told with a design; a plain mitre is the usual one."""


def design_words(design: FrameDesign, say: Voice) -> str:
    """A design in one line: what stands inside, and its sections."""
    inside = []
    count = len(design.cross_rails)
    if count == 1:
        inside.append(say("design.cross-rails-1"))
    elif count:
        inside.append(say("design.cross-rails", count=count))
    if design.middle_pieces:
        inside.append(say("design.middle-pieces" if count else "design.middle-rail"))
    if design.end_rails:
        sides = say("design.sides-and").join(side_words(side, say) for side in design.end_rails)
        inside.append(say("design.end-rails", sides=sides))
    if design.seam is not None:
        inside.append(say("design.halves"))
    if design.corner in _CORNERS:
        inside.append(say(f"design.{design.corner.replace(' ', '-')}"))
    words = ", ".join(inside) or say("design.nothing")
    bars = f"{say.fine(design.bar_thickness)} × {say.fine(design.bar_depth, unit=True)}"
    words += ", " + say(
        "design.bars-flat" if design.bar_thickness > design.bar_depth else "design.bars", bars=bars
    )
    if design.joins:
        words += " " + say("design.joined")
    if design.bar_boards > 1:
        words += " " + say("design.glued")
    if design.has_rails:
        rails = f"{say.fine(design.rail_thickness)} × {say.fine(design.rail_depth, unit=True)}"
        flat = design.rail_thickness > design.rail_depth
        words += ", " + say("design.rails-flat" if flat else "design.rails", rails=rails)
    return words


def misses_of(verdicts: Sequence[Verdict], say: Voice) -> str:
    """The limits of the design that are missed by most, in one line; "" where all are kept."""
    missed = [v for v in verdicts if v.answer == "not" and v.judge == "design"]
    worst = sorted(missed, key=lambda v: (-v.use, v.key))[:MISSES_NAMED]
    words = "; ".join(miss_words(v, say) for v in worst)
    more = len(missed) - len(worst)
    if more == 1:
        return say("answer.and-one-more", misses=words)
    return say("answer.and-more", misses=words, count=more) if more else words


def doubts_of(verdicts: Sequence[Verdict], say: Voice, *, texts: str = "answer") -> str:
    """What a work holds unless, each doubt once with what removes it; "" where there is none.

    Args:
        verdicts: Its verdicts.
        say: How the sheet speaks.
        texts: The table of texts: ``answer``, or ``answer-short`` for a sheet with little room.
    """
    found = []
    for verdict in verdicts:
        if verdict.key == "bears" and verdict.answer == "unless":
            values = _values(verdict, say)
            cause = "water" if verdict.number("water") else "pull"
            just = "-just" if values["most"] == values["bears"] else ""  # rounded they are one figure
            found.append(say(f"{texts}.bears-{cause}{just}", **values))
        elif verdict.key == "wind" and verdict.answer == "unless":
            values = _values(verdict, say)
            twist = verdict.number("twist") * verdict.number("allowed") / verdict.number("natural")
            values["twist"] = f"{say.number(twist, places=2)}°"
            found.append(say(f"{texts}.wind", **values))
        elif verdict.judge == "design" and verdict.answer == "unless" and verdict.passes is False:
            found.append(say(f"{texts}.{_overrun(verdict)}", miss=miss_words(verdict, say)))
        elif verdict.judge == "wish" and verdict.answer == "not":
            found.append(say(f"{texts}.wish", miss=miss_words(verdict, say)))
    return " ".join(words if n == 0 else words[:1].upper() + words[1:] for n, words in enumerate(found))


def remark_words(doubt: str, verdict: Verdict, say: Voice) -> str:
    """What a work holds unless, in a remark that reads alike for every work of a batch.

    Args:
        doubt: Which doubt: ``water``, ``pull`` or the verdict's key.
        verdict: The verdict that leaves it open.
        say: How it is said.
    """
    if doubt in ("water", "pull", "wind"):
        return say(f"remark.{doubt}")
    over = "wish" if verdict.judge == "wish" else _overrun(verdict)
    return say(f"remark.{over}", miss=miss_words(verdict, say))


def _overrun(verdict: Verdict) -> str:
    """Why a limit that is passed is let pass: an estimate passed by little, or one of what nobody sees."""
    return "unseen" if verdict.key in UNSEEN else "estimate"


def answer_words(verdicts: Sequence[Verdict], say: Voice) -> str:
    """Whether a work holds, holds unless, or does not hold: one answer with why."""
    misses, doubts = misses_of(verdicts, say), doubts_of(verdicts, say)
    if misses:
        return say("answer.not", misses=misses)
    return say("answer.unless", doubts=doubts) if doubts else say("answer.holds")


def mark_of(verdict: Verdict) -> str:
    """Key of the mark in the last column of the table of verdicts."""
    if verdict.answer is None:
        return "told"
    if verdict.answer == "not":
        return "missed" if verdict.judge == "design" else "mind"
    return "kept" if verdict.answer == "holds" else "unless"


def check_lines(verdicts: tuple[Verdict, ...], say: Voice) -> tuple[str, ...]:
    """Things to check the answer by with string, table and mass."""
    found = {verdict.key: verdict for verdict in verdicts}
    lines = []
    pulled = found["pulled-in-now"]
    lines.append(
        say(
            "act.string",
            place=place_words(pulled, say),
            expect=small_length(pulled.value, say),
            most=small_length(2 * max(pulled.limit or 0.0, abs(pulled.value)), say),
        )
    )
    if "wind" in found:
        wind = found["wind"]
        natural, allowed = wind.number("natural"), wind.number("allowed")
        lines.append(
            say(
                "act.wind-over" if natural > allowed else "act.wind",
                natural=small_length(natural, say),
                allowed=small_length(allowed, say),
                limit=small_length(wind.limit or 0.0, say),
            )
        )
    if "seam-opening" in found:
        seam = found["seam-opening"]
        gapes = small_length(seam.number("gape"), say)
        lines.append(say("act.seam", gape=gapes, hollow=small_length(seam.number("gape_hollow"), say)))
    if "tension-left" in found:
        bears = found["bears"].limit if "bears" in found else None
        words = tension_words(found["tension-left"].value, say)
        if bears is None:
            lines.append(say("act.press-plain", tension=words))
        else:
            lines.append(say("act.press", tension=words, bears=tension_words(bears, say)))
    return tuple(lines)


def study_words(study: StudyResult, say: Voice) -> tuple[str, ...]:
    """What a study found, a line per limit."""
    lines = [say("study.whole", cases=study.cases, holds=_percent(study.holds, say))]
    if study.stands < 1:
        lines.append(say("study.stands", share=_percent(1 - study.stands, say)))
    for share in study.shares:
        drivers = ", ".join(
            say("study.more" if value > 0 else "study.less", what=say(f"study.{name}"))
            for name, value in share.drivers
        )
        lines.append(
            say(
                "study.limit" if drivers else "study.limit-plain",
                name=say(f"verdict-name.{share.key}"),
                passes=_percent(share.passes, say),
                low=quantity_words(share.low, share.unit, share.key, say),
                middle=quantity_words(share.middle, share.unit, share.key, say),
                high=quantity_words(share.high, share.unit, share.key, say),
                drivers=drivers,
            )
        )
    return tuple(lines)


def _percent(share: float, say: Voice) -> str:
    return f"{say.number(100 * share)} %"
