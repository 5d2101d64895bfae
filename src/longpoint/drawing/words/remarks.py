"""Remarks in the order in which they matter: does not hold, cannot leave, cannot be bought, mind, for information."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from longpoint.errors import CANNOT_LEAVE, DOES_NOT_HOLD, Caution

Rank = Literal["not", "stays", "buy", "mind", "know"]

GRAVE: tuple[Rank, ...] = ("not", "stays")
"""What is said first of all."""

RANKS: tuple[Rank, ...] = ("not", "stays", "buy", "mind", "know")
"""The ranks, the gravest first."""

_BUY = frozenset(
    {
        "changed-to-hold",
        "timber-bought",
        "halves-unasked",
        *("other-cloth", "not-on-sale", "boards-besides", "size-unused", "primer-unused"),
        *("other-depth", "other-bars", "other-stand", "other-rails"),
    }
)

_KNOW = frozenset(
    {
        *(
            "yard-assumed",
            "yard-assumed-priced",
            "roll-assumed",
            "screws-assumed",
            "shop-assumed",
            "units-assumed",
        ),
        *("pick-at-the-yard", "look-for-flaws", "long-length", "mark-right-side", "glue-carries"),
        *("safe-stub-costs", "rehearsal-estimate", "measured-here", "measured-factor", "rack-large"),
    }
)


def rank_of(caution: Caution) -> Rank:
    """How grave a remark is."""
    if caution.code == DOES_NOT_HOLD:
        return "not"
    if caution.code == CANNOT_LEAVE:
        return "stays"
    if caution.code in _BUY:
        return "buy"
    return "know" if caution.code in _KNOW else "mind"


def ranked(cautions: Iterable[Caution]) -> tuple[tuple[Rank, tuple[Caution, ...]], ...]:
    """Remarks by rank, the gravest first; ranks of which there are none are left out.

    Args:
        cautions: Remarks in any order.
    """
    listed = tuple(cautions)
    found = ((rank, tuple(c for c in listed if rank_of(c) == rank)) for rank in RANKS)
    return tuple((rank, some) for rank, some in found if some)
