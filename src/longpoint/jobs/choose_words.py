"""Why a design was chosen, what it misses, and why a batch is refused, in words."""

from __future__ import annotations

from dataclasses import replace

from longpoint.choosing.answer import Other, WorkStrength
from longpoint.choosing.candidates import Buildable
from longpoint.choosing.designs import corners_held
from longpoint.drawing.strength_words import (
    answer_words,
    design_words,
    miss_words,
    price_words,
    remarks_of,
    small_length,
    way_out_words,
)
from longpoint.drawing.voice import Voice
from longpoint.errors import DOES_NOT_HOLD, Caution, Fault, Where
from longpoint.model.batch import Batch
from longpoint.model.works import Work
from longpoint.strength.choice import UNBUILDABLE, holds
from longpoint.strength.verdicts.verdict import Verdict
from longpoint.works.strength import makes_of

TIMBER_BOUGHT = "timber-bought"
"""Code of the caution that names timber which is not stated; its words are made in the language of the sheets."""


def tension_faults(batch: Batch, index: int) -> tuple[Fault, ...]:
    """A tension left that the cloth cannot take without being hurt."""
    work = batch.work[index]
    left = batch.cloth_of(work).tension_left / 1000
    makes = makes_of(batch, work, bars="C16", rails="C16")
    row = makes.raw_state
    most = row.strain_limit * min(row.warp, row.weft)
    if left <= most:
        return ()
    return (
        Fault(
            "tension-beyond-cloth",
            f"{work.name}: {1000 * left:.0f} N/m is more than this cloth takes as it is stretched ({row.name}: about "
            f"{1000 * most:.0f} N/m, estimate).",
            "Ask for less tension_left (200 N/m is usual), or stretch the cloth raw.",
            Where(f"work[{index + 1}].cloth.tension_left"),
        ),
    )


def gives_way(batch: Batch, index: int, why: str) -> Fault:
    """A frame on which no tension can be left."""
    work = batch.work[index]
    return Fault(
        "frame-gives-way",
        f"{work.name}: {why or 'the frame gives way under the canvas.'}",
        "Allow rails or thicker bars, or ask for less tension_left.",
        Where(f"work[{index + 1}].bars"),
    )


def cautions_of(strength: WorkStrength, batch: Batch, say: Voice) -> tuple[Caution, ...]:
    """What a person should know of a design first: that it does not hold, or what it holds unless.

    Args:
        strength: What was computed.
        batch: The batch.
        say: How it is said.
    """
    found = []
    missed = [verdict for verdict in strength.verdicts if not holds(verdict)]
    if missed:
        worst = max(missed, key=lambda verdict: (verdict.use, verdict.key))
        words = answer_words(strength.verdicts, say)
        found.append(Caution(DOES_NOT_HOLD, f"{words} {_way_out(strength, worst, batch, say)}"))
    if (batch.yard or batch.rack) and (things := bought_words(strength.option, say)):
        found.append(Caution(TIMBER_BOUGHT, say("ways.bought", things=things)))
    found += [Caution(f"unless-{key}", words) for key, words in remarks_of(strength.verdicts, say)]
    return tuple(found)


def _way_out(strength: WorkStrength, worst: Verdict, batch: Batch, say: Voice) -> str:
    """What would meet a limit that is missed: a change, or the least timber to buy with which every limit is kept."""
    other = strength.would_hold
    if other is not None:
        design = design_words(other.option.design, say)
        return say("ways.buy", things=bought_words(other.option, say), design=design)
    if worst.remedy is not None or strength.stated or worst.key.split("-")[0] in ("touch", "tension", "mass"):
        return way_out_words(worst, say, currency=batch.currency)
    return say("ways.no-way")


def bought_words(option: Buildable, say: Voice) -> str:
    """The timber of a design that is an ordinary yard's and not stated; "" where there is none."""
    things = [
        say(f"design.{word}", **{word: f"{say.fine(thin)} × {say.fine(wide, unit=True)}"})
        for word, section in (("bars", option.bars), ("rails", option.rails))
        if section is not None and section.assumed
        for thin, wide in [sorted((section.real_thickness, section.real_depth))]
    ]
    return say("design.sides-and").join(things)


def reason_of(strength: WorkStrength, batch: Batch, work: Work, say: Voice) -> str:
    """Why the design is as it is: what was looked for first, the limit that decided, and why there are end rails."""
    words = _deciding(strength, batch, say)
    design = strength.option.design
    bare = replace(design, end_rails=())
    if batch.inside_of(work).end_rails == "auto" and corners_held(design) and not corners_held(bare):
        words += " " + say("reason.end-rails-for-corners")
    return words


def _deciding(strength: WorkStrength, batch: Batch, say: Voice) -> str:
    words = design_words(strength.option.design, say)
    currency = batch.currency
    first = say(f"reason.{batch.limits.choose}")
    if batch.limits.choose == "cheapest" and strength.price.money is None:
        first = say("reason.least-timber")
    if strength.stated:
        return say("reason.fixed", design=words)
    if not strength.passes:
        worst = max((v for v in strength.verdicts if not holds(v)), key=lambda v: v.use)
        remedy = _way_out(strength, worst, batch, say)
        return say("reason.missed", design=words, miss=miss_words(worst, say), remedy=remedy)
    if strength.decided is None:
        return say("reason.only", design=words, first=first)
    before = strength.rivals[0]
    less = ""
    if batch.limits.choose == "cheapest":
        gap = price_words(
            None if before.more is None else -before.more, -before.timber, say, currency=currency
        )
        worth = -before.timber if before.more is None else -before.more
        less = say("reason.less", price=gap) if worth > 0.005 else ""
    rival = design_words(before.option.design, say)
    if before.broken == UNBUILDABLE:
        return say("reason.chosen-unbuildable", design=words, first=first, rival=rival, less=less)
    if before.broken:
        return say("reason.chosen-broken", design=words, first=first, rival=rival, less=less)
    return say(
        "reason.chosen",
        design=words,
        first=first,
        rival=rival,
        less=less,
        miss=miss_words(strength.decided, say),
    )


def rival_words(other: Other, say: Voice, *, currency: str = "") -> str:
    """A rival in one line: what it is, what it costs more or less, and why it was not taken."""
    amount = other.timber if other.more is None else other.more
    shown = price_words(
        None if other.more is None else abs(other.more), abs(other.timber), say, currency=currency
    )
    price = (
        say("reason.price-same")
        if abs(amount) < 0.005
        else say("reason.price-more" if amount > 0 else "reason.price-less", price=shown)
    )
    rival = design_words(other.option.design, say)
    if other.broken:
        key = "reason.rival-unbuildable" if other.broken == UNBUILDABLE else "reason.rival-broken"
        return say(key, rival=rival, price=price)
    if other.misses is not None:
        return say("reason.rival-fails", rival=rival, price=price, miss=miss_words(other.misses, say))
    return say("reason.rival-passes", rival=rival, price=price, pull=small_length(other.pulled_in, say))
