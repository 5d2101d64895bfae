"""How pages are put on sheets: short neighbours share one, and no sheet carries only a few left-over lines.

Every page is measured alone first, set as designed and tighter (see `pack_source.LEVELS`). A page goes on on the sheet
of the page before it where both fit, as loosely set as they do. Where the last sheet of a page is nearly empty, the
page is set tighter and kept so if that saves the sheet. Where it does not, the sheets before the last are ended a
little earlier, so that the last one carries its share.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from longpoint.drawing.paper.pages import A4, Pack, Paper
from longpoint.export.typeset.pack_source import AS_DESIGNED, LEVELS, Part, Setting, groups_of, pack_source
from longpoint.export.typeset.pdf import ends_of

THIN = 0.3
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

_AT_A_BREAK = 0.03
"""Least height lost where a page is broken over two sheets, since rows and drawings are not; share, estimate."""

_TIGHTEST = 0.6
"""No page on one sheet gets lower than this share of its height, however tightly it is set; estimate."""

_SEAMS = (6.0, 4.0, 4.0)
"""Least height between two pages that share a sheet, at each level. [mm] Estimate."""

_ROUNDS = 12
"""So often runs of pages are guessed and measured."""

_Run = tuple[int, int, int]
"""Pages that share their sheets: the first, the one behind the last, and how tightly they are set."""


@dataclass(frozen=True, slots=True)
class Layout:
    """How the pages of a pack are put on sheets.

    Attributes:
        settings: Of the pages that are not set as designed, by number from 0.
        fills: How every page fills its sheets so.
    """

    settings: dict[int, Setting]
    fills: dict[int, Fill]

    def parts(self, most: float = math.inf) -> tuple[Part, ...]:
        """The pages in files of at most so many sheets each; pages that share a sheet stay together."""
        first: dict[int, int] = {}
        begins = [0]  # the page that each file begins with
        before = sheet = 0
        for group in groups_of(self.fills, self.settings):
            taken = _sheets(group, self.fills)
            if sheet > before and sheet + taken - before > most:
                begins.append(group[0])
                before = sheet
            for number in group:
                joined = number != group[0]
                first[number] = sheet + (not joined)
                sheet += self.fills[number].sheets - joined
        ends = [*begins[1:], len(self.fills)]
        return tuple(Part(range(*each), first, sheet) for each in zip(begins, ends, strict=True))


def laid_out(pack: Pack, *, paper: Paper = A4) -> Layout:
    """A pack with the fewest sheets.

    Args:
        pack: The pages.
        paper: The sheet.
    """
    bench = _Measured(pack, paper)
    levels = _levels(pack, bench)
    found, fills = _least(pack, levels, bench=bench)
    thin = [
        group for group in groups_of(fills, found) if _sheets(group, fills) > 1 and _is_thin(group, fills)
    ]
    for level, share in _FREED:
        foot = round(share * paper.room[1], 1)
        tighter = found | {
            n: replace(found.get(n, AS_DESIGNED), level=level, foot=foot) for group in thin for n in group
        }
        tried = bench.fills(tighter, only=[n for group in thin for n in group])
        for group in thin:
            if _sheets(group, tried) <= _sheets(group, fills) and not _is_thin(group, tried):
                found |= {number: tighter[number] for number in group}
        thin = [group for group in thin if found.get(group[0], AS_DESIGNED).foot == 0.0]
    return Layout(found, bench.fills(found))


class _Measured:
    """Pages measured as they are set; what shares a sheet is measured once for each way it is set."""

    def __init__(self, pack: Pack, paper: Paper) -> None:
        self.pack, self.paper = pack, paper
        self._known: dict[tuple[tuple[int, Setting], ...], dict[int, Fill]] = {}

    def fills(self, settings: Mapping[int, Setting], *, only: Sequence[int] | None = None) -> dict[int, Fill]:
        """How pages fill their sheets; as `fills_of`."""
        groups = groups_of(range(len(self.pack.pages)) if only is None else only, settings)
        keys = [tuple((number, settings.get(number, AS_DESIGNED)) for number in group) for group in groups]
        new = [n for key, group in zip(keys, groups, strict=True) if key not in self._known for n in group]
        found = fills_of(self.pack, paper=self.paper, settings=settings, only=new)
        for key, group in zip(keys, groups, strict=True):
            self._known.setdefault(key, {number: found[number] for number in group if number in found})
        return {number: fill for key in keys for number, fill in self._known[key].items()}


def _levels(pack: Pack, bench: _Measured) -> list[dict[int, Fill]]:
    """How pages fill their sheets set as designed, and at each tighter level those that may gain by it.

    A page gains if it takes fewer sheets, or goes on on the sheet of a neighbour. What the tightest level gains nothing
    for is not tried between.
    """

    def at(level: int, least: Mapping[int, Fill]) -> dict[int, Fill]:
        seam = _SEAMS[-1] / bench.paper.room[1]
        joins = [n > 0 and _may_join(pack, n, least, seam) for n in range(len(pack.pages) + 1)]
        gaining = [n for n in least if least[n].sheets < loose[n].sheets or joins[n] or joins[n + 1]]
        return bench.fills(dict.fromkeys(gaining, Setting(level)), only=gaining)

    loose = bench.fills({})
    guessed = {
        number: Fill(1, fill.last * _TIGHTEST if fill.sheets == 1 else 0.0) for number, fill in loose.items()
    }
    tight = at(len(LEVELS) - 1, guessed)
    between = [at(level, guessed | tight) for level in range(1, len(LEVELS) - 1)]
    return [loose, *between, tight]


def _may_join(pack: Pack, number: int, least: Mapping[int, Fill], seam: float) -> bool:
    """Whether a page may go on on the sheet of the one before it, if pages are as low as this."""
    if number >= len(pack.pages):
        return False
    page, before = pack.pages[number], pack.pages[number - 1]
    if page.alone or (before.alone and not page.flows):
        return False
    used = 0.0 if before.flows else least[number - 1].last  # one that flows may end high up on a sheet
    own = least[number]
    if page.flows:
        return used + seam + min(own.last, _BEGUN) <= 1.0
    return own.sheets == 1 and used + seam + own.last <= 1.0


def _least(
    pack: Pack, levels: Sequence[Mapping[int, Fill]], *, bench: _Measured
) -> tuple[dict[int, Setting], dict[int, Fill]]:
    """Settings with the fewest sheets as they come out, and how they fill them.

    Runs of pages are guessed hopefully; what came out otherwise is known in the next round.
    """
    seams = [seam / bench.paper.room[1] for seam in _SEAMS]
    known: dict[_Run, int] = {}
    found: list[tuple[int, int, dict[int, Setting], dict[int, Fill]]] = []
    for _ in range(_ROUNDS):
        settings, runs = _shared(pack, levels, seams=seams, known=known)
        fills = bench.fills(settings)
        groups = groups_of(fills, settings)
        came_out = {run: _sheets(range(run[0], run[1]), fills) for run in runs}
        thin = sum(_sheets(group, fills) > 1 and _is_thin(group, fills) for group in groups)
        found.append((sum(came_out.values()), thin, settings, fills))
        if came_out.items() <= known.items():
            break
        known |= came_out
    _, _, settings, fills = min(found, key=lambda one: one[:2])
    return settings, fills


def _sheets(group: Sequence[int], fills: Mapping[int, Fill]) -> int:
    """How many sheets pages that share theirs take together."""
    return sum(fills[number].sheets for number in group) - len(group) + 1


def _is_thin(group: Sequence[int], fills: Mapping[int, Fill]) -> bool:
    return fills[group[-1]].last < THIN


def _shared(
    pack: Pack, levels: Sequence[Mapping[int, Fill]], *, seams: Sequence[float], known: Mapping[_Run, int]
) -> tuple[dict[int, Setting], tuple[_Run, ...]]:
    """Which pages go on on the sheet before them, and how tightly each sheet is set.

    Of all ways to part the pages into runs that share their sheets, the one with the fewest sheets; then the one
    that breaks the fewest pages over two sheets; then the loosest.
    """
    best: list[tuple[int, int, int]] = [(0, 0, 0), *[(len(pack.pages) * 1000, 0, 0)] * len(pack.pages)]
    came: list[tuple[int, int]] = [(0, 0)] * (len(pack.pages) + 1)  # where the run began, and its level
    for first in range(len(pack.pages)):
        for level, fills in enumerate(levels):
            if first not in fills:
                continue
            for end, sheets, broken in _runs(pack, first, fills, seams[level]):
                cost = best[first]
                taken = known.get((first, end, level), sheets)
                tried = (cost[0] + taken, cost[1] + broken, cost[2] + level * (end - first))
                if tried < best[end]:
                    best[end], came[end] = tried, (first, level)
    found: dict[int, Setting] = {}
    runs: list[_Run] = []
    end = len(pack.pages)
    while end:
        first, level = came[end]
        found |= {number: Setting(level, joined=number > first) for number in range(first, end)}
        runs.append((first, end, level))
        end = first
    return {n: setting for n, setting in sorted(found.items()) if setting != AS_DESIGNED}, tuple(runs)


def _runs(pack: Pack, first: int, fills: Mapping[int, Fill], seam: float) -> Iterator[tuple[int, int, int]]:
    """Every run of pages from the first on that may share sheets: its end, its sheets, pages broken over two."""
    sheets, used, broken = fills[first].sheets, fills[first].last, fills[first].sheets - 1
    yield first + 1, sheets, broken
    for number in range(first + 1, len(pack.pages)):
        if number not in fills:
            return
        page, before, own = pack.pages[number], pack.pages[number - 1], fills[number]
        own_second = bool(before.name) and page.before == (before.name,)
        second = own_second or fills[number - 1].sheets > 1
        if page.alone or (before.alone and not (second and page.flows)):
            return
        if own.sheets == 1 and used + seam + own.last <= 1.0:
            used += seam + own.last
        elif page.flows and used + seam + min(own.last, _BEGUN) <= 1.0:
            reach = used + seam + own.sheets - 1 + own.last
            reach += _AT_A_BREAK * int(reach)
            sheets, used, broken = sheets + int(reach), reach % 1.0, broken + 1
        else:
            return
        yield number + 1, sheets, broken


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
    settings = settings or {}
    fills: dict[int, Fill] = {}
    for tried in _parcels(groups_of(range(len(pack.pages)) if only is None else only, settings)):
        source = pack_source(pack, paper=paper, settings=settings, only=tried)
        before = 0
        for number, sheet, down in ends_of(source):
            setting = settings.get(number, AS_DESIGNED)
            high = paper.room[1] - setting.foot
            fills[number] = Fill(sheet - before + setting.joined, (down - paper.head) / high)
            before = sheet
    return fills


_AT_ONCE = 40
"""So many pages are laid out in one trial: the typesetter holds a megabyte for each of their sheets meanwhile."""


def _parcels(groups: Sequence[Sequence[int]]) -> Iterator[list[int]]:
    """Pages in parcels, those that share a sheet together."""
    parcel: list[int] = []
    for group in groups:
        if parcel and len(parcel) + len(group) > _AT_ONCE:
            yield parcel
            parcel = []
        parcel += group
    if parcel:
        yield parcel
