"""What one copy of each work takes of screws, glue, staples, size, primer and hangers, and when: spares not counted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from longpoint.model.batch import Batch
from longpoint.model.hardware import Primer, Size
from longpoint.needs.planned import PlannedWork
from longpoint.works.hanging import HungWork
from longpoint.works.stock import stock_of

SupplyKind = Literal["screw", "staple", "glue", "size", "primer", "hanger"]
TakenBy = Literal["assembled", "stretched", "primed", "hung"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyNeed:
    """What one copy of a work takes of one thing.

    Attributes:
        work: Name of the work.
        kind: Table of the batch file that states such things.
        name: Its name there, or of the usual one that is assumed.
        by: What the copy is once it has been taken.
        amount: Pieces, grams of glue, litres of size and primer.
    """

    work: str
    kind: SupplyKind
    name: str
    by: TakenBy
    amount: float


def supplies_of(
    batch: Batch, works: Sequence[PlannedWork], hung: Iterable[HungWork] = ()
) -> tuple[SupplyNeed, ...]:
    """What a copy of each work takes.

    Args:
        batch: The batch; its factors of the shop are counted.
        works: The works.
        hung: How they hang.
    """
    fixings: dict[str, Counter[str]] = {}
    for one in hung:
        held = fixings.setdefault(one.work, Counter())
        held.update(fixing.screw.name for fixing in one.fixings)
    return tuple(
        SupplyNeed(work=work.name, kind=kind, name=name, by=by, amount=amount)
        for work in works
        for kind, name, by, amount in _of_copy(batch, work, fixings.get(work.name, Counter()))
        if amount
    )


def _of_copy(
    batch: Batch, work: PlannedWork, fixings: Mapping[str, int]
) -> Iterator[tuple[SupplyKind, str, TakenBy, float]]:
    factors = batch.shop.factors
    for line in work.build.screws:
        yield "screw", line.screw.name, "assembled", line.count
    yield "glue", batch.glue.name, "assembled", round((factors.glue or 1) * work.build.glue_grams, 1)
    staple = next(item for item in stock_of(batch).staples if float(item.leg) == work.canvas.leg)
    yield "staple", staple.name, "stretched", round((factors.staples or 1) * work.canvas.staples.driven)
    amounts = () if work.canvas.priming is None else work.canvas.priming.amounts
    coats: tuple[tuple[SupplyKind, Size | Primer | None], ...] = (
        ("size", batch.size),
        ("primer", batch.primer),
    )
    for kind, item in coats:
        litres = sum(one.litres.middle for one in amounts if item is not None and one.name == item.kind)
        yield kind, "" if item is None else item.label, "primed", round(litres, 3)
    for name, count in fixings.items():
        yield "screw", name, "hung", count
    if batch.hanger.by != "split batten":
        yield "hanger", batch.hanger.name, "hung", batch.hanger.per_work
