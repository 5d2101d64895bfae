"""A plan made from the rack: what lies there goes in, what it takes is kept for it, the plan stands in the book."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from longpoint.cli.at_store import changing, looking
from longpoint.errors import Caution
from longpoint.model.batch import Batch

if TYPE_CHECKING:
    from longpoint.replanning.old import OldPlan
    from longpoint.store.book.learned import Used
    from longpoint.store.book.plans import PlanLine


def from_store(
    stated: Batch, *, rack: bool, measured_here: bool, data: str
) -> tuple[Batch, tuple[Caution, ...]]:
    """A batch with what the store knows.

    Args:
        stated: The batch.
        rack: Whether the rack is taken instead of its ``[[rack]]``.
        measured_here: Whether what was measured here is taken where it states nothing.
        data: Where the store lies.

    Returns:
        The batch, and what is to be said of it.
    """
    cautions: list[Caution] = []
    with looking(data) as desk:
        if rack:
            from longpoint.store.rack.for_plan import MOST, with_rack

            stated, left_out = with_rack(desk, stated)
            for section, count in left_out.items():
                more = (("section", section), ("count", str(count)), ("most", str(MOST)))
                cautions.append(Caution("rack-large", facts=more))
        if measured_here:
            from longpoint.store.book.learned import with_learned

            stated, used = with_learned(desk, stated)
            cautions += cautions_of(used)
    return stated, tuple(cautions)


def cautions_of(used: Iterable[Used]) -> list[Caution]:
    """What is said of values that were measured here."""
    from longpoint.store.book.learned import figure

    return [
        Caution(
            "measured-here" if one.learned.about else "measured-factor",
            facts=(
                *(("where", one.where), ("value", one.value), ("count", str(one.learned.count))),
                *(("low", figure(one.learned.low)), ("high", figure(one.learned.high))),
                *(("about", one.learned.about), ("unit", one.learned.unit)),
            ),
        )
        for one in used
    ]


def with_free_boards(old: OldPlan, data: str) -> OldPlan:
    """A plan whose rest may be cut from what lies free in the rack now, beside the boards that it has in hand.

    Args:
        old: The plan, or the rest planned last.
        data: Where the store lies.
    """
    from longpoint.store.rack.for_plan import with_rack

    with looking(data) as desk:
        now, _ = with_rack(desk, old.batch)
    hand = {board.board for section in old.sections for board in section.boards}
    hand |= {board.board for stage in old.stages for boards in stage.sections for board in boards}
    mine = tuple(board for board in old.batch.rack if board.name in hand)
    free = tuple(board for board in now.rack if board.name not in {one.name for one in mine})
    return replace(old, batch=old.batch.model_copy(update={"rack": (*mine, *free)}))


@contextlib.contextmanager
def keeping(contents: bytes, data: str) -> Iterator[PlanLine]:
    """Keeps a plan file in the book, and what it takes of the rack for it, unless the block fails.

    Until its end the plan before stands and keeps what it kept.

    Args:
        contents: The plan file.
        data: Where the store lies.

    Raises:
        FaultsError: If somebody was quicker to take something of that.
    """
    from longpoint.store.book.plans import add_plan

    with changing(data) as desk:
        yield add_plan(desk, json.loads(contents), from_rack=True)


def say_plan(kept: PlanLine, data: str) -> None:
    """Says where a plan is kept, and what it keeps."""
    from longpoint.cli.book import say_kept

    with looking(data) as desk:
        say_kept(desk, kept)
