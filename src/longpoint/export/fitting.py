"""How pages are put on sheets: short neighbours share one, and no sheet carries only a few left-over lines.

Every page is measured alone first, set as designed and tighter (see `pack_source.LEVELS`). A page goes on on the sheet
of the page before it where both fit, as loosely set as they do. Where the last sheet of a page is nearly empty, the
page is set tighter and kept so if that saves the sheet. Where it does not, the sheets before the last are ended a
little earlier, so that the last one carries its share.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from longpoint.drawing.pages import A4, Pack, Paper
from longpoint.export.pack_source import AS_DESIGNED, LEVELS, Setting, groups_of, pack_source
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


_BEGUN = 0.16
"""So much of a sheet must be left for a page to begin on it; share of its height, estimate."""

_SEAM = 9.0
"""Height between two pages that share a sheet. [mm] Rounded up from the sheet's style."""


def settings_for(pack: Pack, *, paper: Paper = A4) -> dict[int, Setting]:
    """Settings of the pages that are not set as designed, by number from 0.

    Args:
        pack: The pages.
        paper: The sheet.
    """
    levels = [
        fills_of(pack, paper=paper, settings=dict.fromkeys(range(len(pack.pages)), Setting(level)))
        for level in range(len(LEVELS))
    ]
    found = _shared(pack, levels, seam=_SEAM / paper.room[1])
    fills = fills_of(pack, paper=paper, settings=found)
    thin = [
        group for group in groups_of(fills, found) if _sheets(group, fills) > 1 and _is_thin(group, fills)
    ]
    for level, share in _FREED:
        foot = round(share * paper.room[1], 1)
        tighter = found | {
            n: replace(found.get(n, AS_DESIGNED), level=level, foot=foot) for group in thin for n in group
        }
        tried = fills_of(pack, paper=paper, settings=tighter, only=[n for group in thin for n in group])
        for group in thin:
            if _sheets(group, tried) <= _sheets(group, fills) and not _is_thin(group, tried):
                found |= {number: tighter[number] for number in group}
        thin = [group for group in thin if found.get(group[0], AS_DESIGNED).foot == 0.0]
    return found


def _sheets(group: Sequence[int], fills: Mapping[int, Fill]) -> int:
    """How many sheets pages that share theirs take together."""
    return sum(fills[number].sheets for number in group) - len(group) + 1


def _is_thin(group: Sequence[int], fills: Mapping[int, Fill]) -> bool:
    return fills[group[-1]].last < THIN


def _shared(pack: Pack, levels: Sequence[Mapping[int, Fill]], *, seam: float) -> dict[int, Setting]:
    """Which pages go on on the sheet before them, and how tightly each sheet is set."""
    found: dict[int, Setting] = {}
    group: list[int] = []
    used: list[float] = []  # of the group's last sheet, at each level
    for number, page in enumerate(pack.pages):
        own = [fills[number] for fills in levels]
        fits = [
            level
            for level in range(len(levels))
            if group and own[level].sheets == 1 and used[level] + seam + own[level].last <= 1.0
        ]
        least = max((found[n].level for n in group), default=0)
        fits = [level for level in fits if level >= least or len(group) == 1]
        last = pack.pages[group[-1]] if group else None
        own_second = last is not None and bool(last.name) and page.before == (last.name,) and page.flows
        apart = page.alone or last is None or (last.alone and not own_second)
        if page.flows and group and not apart and not fits:
            level = max(least, 1)
            if used[level] + seam + min(own[level].last, _BEGUN) <= 1.0:
                group.append(number)
                used = [(before + seam + fill.last) % 1.0 for before, fill in zip(used, own, strict=True)]
                for member in group[:-1]:
                    found[member] = replace(found[member], level=level)
                found[number] = Setting(level, joined=True)
                continue
        if fits and not apart:
            level = fits[0]
            group.append(number)
            used = [before + seam + fill.last for before, fill in zip(used, own, strict=True)]
            for member in group:
                found[member] = replace(found[member], level=level) if member in found else Setting(level)
            found[number] = Setting(level, joined=True)
            continue
        group = [number]
        sheets = [fill.sheets for fill in own]
        level = sheets.index(min(sheets)) if own[0].sheets > 1 and own[0].last < SPARSE else 0
        found[number] = Setting(level)
        used = [fill.last for fill in own]
    return {number: setting for number, setting in found.items() if setting != AS_DESIGNED}


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
        joined = (settings or {}).get(number, AS_DESIGNED).joined
        fills[number] = Fill(sheet - before + joined, (down - paper.head) / high)
        before = sheet
    return fills
