"""Rehearsals of several maps at a time, in processes of this machine; each is computed alone, whatever the number."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from longpoint.works.printed_order import Answer, MapToRehearse

FEW = 2
"""Up to so many maps are rehearsed here: a process takes some seconds to begin."""


def side_by_side(maps: Sequence[MapToRehearse]) -> Iterator[Answer]:
    """Rehearses maps, as many at a time as there are cores.

    Args:
        maps: The maps.

    Yields:
        The answers in their order.
    """
    from longpoint.works.printed_order import one_by_one, rehearse_map

    count = min(os.cpu_count() or 1, len(maps))
    if count == 1 or len(maps) <= FEW:
        yield from one_by_one(maps)
        return
    from longpoint.cli.processes import pool_of

    with pool_of(count) as pool:
        yield from pool.map(rehearse_map, maps)
