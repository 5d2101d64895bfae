"""Why a design was chosen and what it misses, in words."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from longpoint.choosing.answer import ChosenDesign, Other, WorkStrength
from longpoint.choosing.candidates import Buildable, bought_timber
from longpoint.choosing.cautions import Bought, Changed, Missed
from longpoint.choosing.designs import corners_held
from longpoint.choosing.parted import Parted
from longpoint.drawing.words.strength import (
    answer_words,
    design_words,
    miss_words,
    price_words,
    remark_words,
    small_length,
    way_out_words,
)
from longpoint.drawing.words.voice import Voice
from longpoint.drawing.words.ways import obstacle_words, stays_words
from longpoint.errors import Caution
from longpoint.model.batch import Batch
from longpoint.model.works import Work
from longpoint.needs.besides import BoardsBesides
from longpoint.refereed import Refereed
from longpoint.strength.choice import UNBUILDABLE, holds
from longpoint.strength.verdicts.verdict import Verdict
from longpoint.works.assumed import AssumedDesign, OtherDepth, Otherwise
from longpoint.works.designed import Designed
from longpoint.works.leaving import Stays


def told(caution: Caution, say: Voice) -> str:
    """The sentence of a caution that carries what it is made of."""
    match caution.of:
        case Missed(strength, currency):
            worst = max((v for v in strength.verdicts if not holds(v)), key=lambda v: (v.use, v.key))
            parts = answer_words(strength.verdicts, say), _way_out(strength, worst, currency, say)
            return " ".join((*parts, *_looked_words(strength, say)))
        case Changed(option, instead, currency):
            return changed_words(option, instead, currency, say)
        case Parted(stays, more, currency):
            return _parted_words(stays, more, currency, say)
        case Bought(option, currency):
            return say("ways.bought", things=bought_words(option, currency, say))
        case Refereed(what, _about, faults, instead):
            values = {"what": say(f"refereed.{what}"), "instead": say(f"refereed.{instead or 'stop'}")}
            return say("caution.referee-refused", why=faults[0].what, **values)
        case Verdict():
            return remark_words(caution.code.removeprefix("unless-"), caution.of, say)
        case AssumedDesign():
            return _assumed_words(caution.of, say)
        case Otherwise(what, thickness, depth):
            section = sides_words(thickness, depth, say)
            return say(f"assumed.{what}", section=section, thin=say.fine(thickness, unit=True))
        case BoardsBesides(sides, boards, priced):
            return say(
                "assumed.boards-besides",
                section=sides_words(*sides, say),
                boards=", ".join(f"{count} × {say.fine(length, unit=True)}" for count, length in boards),
                price=say("assumed.besides-priced") if priced else "",
            )
        case OtherDepth(stated, depth):
            values = {"stated": say.fine(stated, unit=True), "depth": say.fine(depth, unit=True)}
            return say("assumed.other-depth", **values)
        case Stays():
            return stays_words(caution.of, say)
        case _:
            msg = f"no words are made of {caution.of!r}"
            raise TypeError(msg)


def _parted_words(stays: Stays | None, more: float | None, currency: str, say: Voice) -> str:
    """Why a work is planned in halves though nobody asked, and for how much more."""
    why = say("leave.parted-boards")
    if stays is not None:
        obstacle = obstacle_words(stays.way, stays.stop, say)
        why = say("leave.parted-way", obstacle=obstacle, way=stays.way.name)
    price = "" if more is None else say("leave.parted-price", price=say.money(Decimal(round(more)), currency))
    return say("leave.parted", why=why, price=price)


def sides_words(thickness: Fraction, depth: Fraction, say: Voice) -> str:
    """A section in words."""
    return f"{say.fine(thickness)} × {say.fine(depth, unit=True)}"


def _assumed_words(assumed: AssumedDesign, say: Voice) -> str:
    found = [say(f"assumed.{name}", length=say.fine(length, unit=True)) for name, length in assumed.lengths]
    if assumed.rails is not None:
        thickness, depth = assumed.rails
        key = "assumed.rails-flat" if thickness > depth else "assumed.rails"
        found.append(say(key, section=sides_words(thickness, depth, say)))
    if assumed.drop is not None:
        found.append(say("assumed.drop", length=say.fine(assumed.drop, unit=True)))
    found += [say(f"assumed.{assumed.corner.replace(' ', '-')}")] if assumed.corner else []
    return say("assumed.design", what=", ".join(found))


def _way_out(strength: WorkStrength, worst: Verdict, currency: str, say: Voice) -> str:
    """What would meet a limit that is missed: a change, or the least timber to buy with which every limit is kept."""
    if bought := to_buy(strength, currency, say):
        return bought
    if worst.remedy is not None or strength.stated or worst.key.split("-")[0] in ("touch", "tension", "mass"):
        return way_out_words(worst, say, currency=currency)
    return say("ways.no-way")


def _looked_words(strength: WorkStrength, say: Voice) -> tuple[str, ...]:
    """How far it was looked before it was said that nothing holds."""
    if strength.stated:
        return ()
    some = "all" if strength.looked == strength.possible else "some"
    return (say(f"ways.looked-{some}", looked=strength.looked, possible=strength.possible),)


def to_buy(strength: WorkStrength, currency: str, say: Voice) -> str:
    """The least timber to buy with which every limit is kept; "" where none was found or none is needed."""
    other = strength.would_hold
    if other is None:
        return ""
    design, things = design_words(other.option.design, say), bought_words(other.option, currency, say)
    return say("ways.buy", things=things, design=design) if things else say("ways.glue", design=design)


def changed_words(option: Buildable, instead: Other, currency: str, say: Voice) -> str:
    """What was changed and why, with the priced list of what is bought besides."""
    things = bought_words(option, currency, say)
    key = "ways.changed" if things else "ways.changed-glued"
    return say(key, things=things, design=design_words(option.design, say), miss=_missed(instead, say))


def _missed(other: Other, say: Voice) -> str:
    """Why a design does not do."""
    if other.misses is not None:
        return miss_words(other.misses, say)
    return say("ways.unbuildable" if other.broken == UNBUILDABLE or not other.broken else "ways.gives-way")


def bought_words(option: Buildable, currency: str, say: Voice) -> str:
    """Timber of a design that is an ordinary yard's and not stated, how much and for what; "" where there is none."""
    things = []
    for one in bought_timber(option):
        section = say(f"design.{one.use}", **{one.use: sides_words(*one.sides, say)})
        price = "" if one.money is None else price_words(one.money, 0, say, currency=currency)
        key = "ways.thing-priced" if price else "ways.thing"
        things.append(say(key, section=section, long=say.run(1000 * one.metres), price=price))
    return say("design.sides-and").join(things)


def reason_words(designed: Designed, batch: Batch, work: Work, say: Voice) -> str:
    """Why the design is as it is: what was looked for first, the limit that decided, and why there are end rails."""
    if not isinstance(designed, ChosenDesign):
        return say("reason.by-rule" if designed.by_rule else "reason.stated")
    strength = designed.strength
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
        remedy = _way_out(strength, worst, currency, say)
        missed = say("reason.missed", design=words, miss=miss_words(worst, say), remedy=remedy)
        return " ".join((missed, *_looked_words(strength, say)))
    if strength.instead is not None:
        key = "reason.changed" if bought_timber(strength.option) else "reason.changed-glued"
        return say(key, design=words, first=first, miss=_missed(strength.instead, say))
    if strength.led:
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
    if before.broken or strength.decided is None:
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
