"""How tightly each page is set, so that no sheet carries only the last few lines of a page.

Pages are set as designed first. Where the last sheet of a page is nearly empty, the page is set tighter, as far as the
lettering allows (see `pack_source.LEVELS`), and kept so if that saves the sheet. Where it does not, the sheets before
the last are ended a little earlier, so that the last one carries its share.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from longpoint.drawing.pages import A4, Pack, Paper
from longpoint.export.pack_source import AS_DESIGNED, LEVELS, Setting, pack_source
from longpoint.export.pdf import ends_of

SPARSE = 0.5
"""A last sheet filled less than this is worth setting its page tighter; share of the sheet's height, estimate."""

THIN = 0.18
"""A last sheet filled less than this is given more by the sheets before it; estimate."""

_FREED = tuple((level, share) for level in (0, 2) for share in (0.02, 0.04, 0.08, 0.16, 0.24, 0.32, 0.40))
"""Levels and the share of a sheet's height that is kept free at the foot, in the order tried."""


@dataclass(frozen=True, slots=True)
class Fill:
    """How a page fills its sheets.

    Attributes:
        sheets: How many it takes.
        last: Share of the last one's height that is used.
    """

    sheets: int
    last: float


def settings_for(pack: Pack, *, paper: Paper = A4) -> dict[int, Setting]:
    """Settings of the pages that are not set as designed, by number from 0.

    Args:
        pack: The pages.
        paper: The sheet.
    """
    fills = fills_of(pack, paper=paper)
    found: dict[int, Setting] = {}
    sparse = [number for number, fill in fills.items() if fill.sheets > 1 and fill.last < SPARSE]
    for level in range(1, len(LEVELS)):
        tried = fills_of(pack, paper=paper, settings=dict.fromkeys(sparse, Setting(level)), only=sparse)
        saved = [number for number in sparse if tried[number].sheets < fills[number].sheets]
        found |= dict.fromkeys(saved, Setting(level))
        sparse = [number for number in sparse if number not in found]
    thin = [number for number in sparse if fills[number].last < THIN]
    for level, share in _FREED:
        setting = Setting(level, foot=round(share * paper.room[1], 1))
        tried = fills_of(pack, paper=paper, settings=dict.fromkeys(thin, setting), only=thin)
        for number in thin:
            if tried[number].sheets == fills[number].sheets and tried[number].last >= THIN:
                found[number] = setting
        thin = [number for number in thin if number not in found]
    return found


def fills_of(
    pack: Pack,
    *,
    paper: Paper = A4,
    settings: Mapping[int, Setting] | None = None,
    only: Sequence[int] | None = None,
) -> dict[int, Fill]:
    """How pages fill their sheets, by number from 0.

    Args:
        pack: The pages.
        paper: The sheet.
        settings: How tightly pages are set.
        only: Numbers of the pages to be tried; all if not given.
    """
    if only is not None and not only:
        return {}
    tried = range(len(pack.pages)) if only is None else only
    source = pack_source(pack, paper=paper, settings=settings, only=tried)
    fills: dict[int, Fill] = {}
    before = 0
    for number, sheet, down in ends_of(source):
        foot = (settings or {}).get(number, AS_DESIGNED).foot
        high = paper.room[1] - foot
        fills[number] = Fill(sheet - before, (down - paper.head) / high)
        before = sheet
    return fills
