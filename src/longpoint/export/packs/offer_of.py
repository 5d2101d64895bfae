"""The offer and the table of prices as documents of their own, one sheet each."""

from __future__ import annotations

from longpoint.drawing.paper.pages import Pack, Page
from longpoint.drawing.sheets.offer_pages import ListedSize, Offered, made_of, offer_page, prices_page
from longpoint.drawing.words.voice import Voice, frame_words
from longpoint.jobs.plan import Plan
from longpoint.jobs.prices import SizeTable


def offer_of(plan: Plan, *, say: Voice) -> Pack:
    """The offer of a plan.

    Args:
        plan: The plan.
        say: How the sheet speaks.
    """
    works = [
        Offered(
            name=work.name,
            face=(float(work.frame.design.width), float(work.frame.design.height)),
            depth=float(work.frame.design.bar_depth),
            how_many=work.how_many,
            each=price.each,
        )
        for work, price in zip(plan.works, plan.prices.works, strict=True)
    ]
    batch = plan.batch
    coats = [(item.kind, item.coats) for item in (batch.size, batch.primer) if item is not None]
    first = plan.works[0]
    if first.canvas.priming is None:
        coats = []
    words = batch.price.made_of or made_of(
        first.cloth.roll, coats, [float(work.frame.design.bar_depth) for work in plan.works], say
    )
    return _alone(plan, offer_page(works, plan.prices, words, batch=batch, say=say), say)


def prices_pack(plan: Plan, table: SizeTable, *, say: Voice) -> Pack:
    """The table of prices.

    Args:
        plan: The plan it is written with.
        table: The sizes.
        say: How the sheet speaks.
    """
    listed = [
        ListedSize(
            face=(float(one.width), float(one.height)),
            hours=(one.cost.hours.low, one.cost.hours.middle, one.cost.hours.high),
            cost=one.cost.total,
            price=one.price.each,
            margin=one.price.sums.margin,
            per_hour=one.price.sums.per_hour,
        )
        for one in table.sizes
    ]
    left_out = [(float(width), float(height)) for width, height in table.left_out]
    return _alone(plan, prices_page(listed, left_out, batch=plan.batch, say=say), say)


def _alone(plan: Plan, page: Page, say: Voice) -> Pack:
    return Pack(
        title=plan.batch.title,
        revision=plan.revision,
        pages=(page,),
        language=say.language,
        words=frame_words(say),
    )
