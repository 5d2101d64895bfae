"""What would have to be bought so that a batch that is refused as stated can be planned."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.choosing.by_rule import design_of
from longpoint.costing.buying import BuyLine
from longpoint.errors import Fault, FaultsError, Where
from longpoint.jobs.plan import plan_batch
from longpoint.model.batch import Batch
from longpoint.works.designed import Say

TO_BUY = "things-to-buy"
"""Code of the fault that carries the list."""

_ASSUMED = frozenset({"shop", "yard"})
"""Notes of lines that nobody stated."""


def with_things_to_buy(
    batch: Batch, faults: Sequence[Fault], *, say: Say = lambda _text: None
) -> tuple[Fault, ...]:
    """The faults of a batch that is planned as stated, and one list of what to buy so that it can be planned.

    Designs are by the rule of thumb: it is asked what can be built, not yet what holds.

    Args:
        batch: What is stated.
        faults: Why it is refused.
        say: Told what is being done.

    Returns:
        The faults, the list last; without one where the batch says nothing of `as_stated`, where nothing an ordinary
        shop has would do, or where only what is stated contradicts itself.
    """
    if not batch.as_stated:
        return tuple(faults)
    say("What would make it possible")
    try:
        plan = plan_batch(batch.model_copy(update={"as_stated": False}), choose=design_of)
    except FaultsError:
        return tuple(faults)
    lines = [
        line
        for line in plan.buying
        if line.buy and line.group != "advised" and any(note.key in _ASSUMED for note in line.notes)
    ]
    stated = {"timber": batch.yard or batch.rack, "cloth": batch.roll, "screws": batch.screw}
    asked = [
        line for line in lines if stated.get(line.group)
    ]  # of what is not stated at all, all is assumed anyhow
    if not asked:
        return tuple(faults)
    what = "; ".join(_line_words(line, batch.currency) for line in asked)
    remedy = (
        "Buy these, or plan without as_stated: then they are planned besides. Prices are estimates by volume."
    )
    return (*faults, Fault(TO_BUY, f"what would make it possible: {what}.", remedy, Where("as_stated")))


def _line_words(line: BuyLine, currency: str) -> str:
    name = ", ".join(text for _, text in line.what.facts)
    if line.what.key == "screw":
        name = f"screws {name}"
    count = f"{line.buy:g}" if line.group != "cloth" else f"{line.buy:g} {line.unit}"
    price = "no price stated" if line.total is None else f"about {line.total} {currency}".rstrip()
    return f"{count} × {name} ({price})"
