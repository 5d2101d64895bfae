"""The pack as typeset source: page values in, text out.

Every page is written as source that calls the functions in ``sheet.typ``; drawings go in as the same SVG that is
also written to files. Nothing here knows what a bar is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from longpoint.drawing.paper.fit import fitted as fitted_view
from longpoint.drawing.paper.lettering import fitted, shown, width_of
from longpoint.drawing.paper.pages import (
    A4,
    Beside,
    BigWords,
    Blanks,
    Block,
    Bullets,
    CautionBox,
    Column,
    Contents,
    Drawing,
    Figures,
    Gap,
    Heading,
    NewSheet,
    Pack,
    Paper,
    Paragraph,
    Photo,
    Step,
    Steps,
    Table,
    Together,
)
from longpoint.drawing.paper.view import View
from longpoint.export.packs.contents import contents_of
from longpoint.export.shapes.svg import svg_of
from longpoint.export.typeset.source_words import list_of, string_of, words_of
from longpoint.export.typeset.table_widths import column_widths

_POINT = 25.4 / 72
"""Millimetres in a typographic point of 1/72 in."""

_STAND_IN = {
    "contents": "Pages",
    "page-of": "{page} of {pages}",
    "revision": "revision",
    "full-size": "Full size: print at 100 %",
    "caution": "Take care",
    "before": "Before:",
    "after": "Next:",
}


@dataclass(frozen=True, slots=True)
class Setting:
    """How tightly one page is set.

    Attributes:
        level: 0 as designed; each further one takes empty height and lettering down, never below 10.8 pt.
        foot: Height kept free at the foot of every sheet of the page, so that its last sheet gets more. [mm]
        joined: Whether it goes on on the last sheet of the page before it, set as that is.
    """

    level: int = 0
    foot: float = 0.0
    joined: bool = False


_STYLED = (
    "tick-box, stamp-mark, size-mark, running-head, running-foot, page-title, heading-1, heading-2, "
    "para, bullets, caution, steps, close-steps, neighbours, rows, sub-head, sum-cell, figures, blanks, "
    "big-words, drawing, beside, contents-line, contents"
)
"""Names that ``sheet.typ`` gives, taken from the level of the page."""


@dataclass(frozen=True, slots=True)
class Part:
    """Neighbouring pages of a pack that are a file of their own.

    Attributes:
        pages: Their numbers from 0.
        first: Sheet of the pack that every page of it begins on, by number of the page.
        total: Sheets of the pack.
    """

    pages: range
    first: Mapping[int, int]
    total: int

    @property
    def begins(self) -> int:
        """Its first sheet."""
        return self.first[self.pages[0]] if self.pages else 1


AS_DESIGNED = Setting()

_UNKNOWN = "000"
"""Stands for the number of a sheet that is not known yet."""

LEVELS = (
    (1.0, {"small": 10.8, "body": 12.0, "large": 16.0, "table": 11.5, "line": 11.0, "title": 25.0}),
    (0.7, {"small": 10.8, "body": 11.3, "large": 15.0, "table": 10.8, "line": 10.8, "title": 23.0}),
    (0.45, {"small": 10.8, "body": 10.8, "large": 14.0, "table": 10.8, "line": 10.8, "title": 20.0}),
)
"""For each level of tightness: share of the empty height between blocks, and type sizes [pt]."""


def pack_source(
    pack: Pack,
    *,
    paper: Paper = A4,
    settings: Mapping[int, Setting] | None = None,
    only: Sequence[int] | None = None,
    part: Part | None = None,
) -> str:
    """The typeset source of a pack.

    Args:
        pack: The pages.
        paper: The sheet.
        settings: How tightly pages are set, by number from 0; as designed where nothing is said.
        only: Numbers of the pages to be written for a trial, without their drawings; None for the pack itself.
        part: What of the pack is written, and on which sheets; None for all of it, its sheets not known.
    """
    words = _STAND_IN | dict(pack.words)
    numbers: Sequence[int] = range(len(pack.pages)) if only is None else only
    if part is not None:
        numbers = part.pages
    words["page-of"] = words["page-of"].replace("{pages}", _UNKNOWN if part is None else str(part.total))

    def pointing(number: int) -> str:
        """Where a page is, as source: its label where it is in the same file, and the number of its sheet."""
        there = only is None and (part is None or number in part.pages)
        sheet = _UNKNOWN if part is None else str(part.first[number])
        return f"{f'<sheet-{number}>' if there else 'none'}, {string_of(sheet)}"

    parts = [
        _style(),
        *(_style_of(level) for level in range(len(LEVELS))),
        f"#set document(title: {string_of(pack.title)}, date: none)",
        f"#set text(font: ({', '.join(string_of(name) for name in ('Source Sans Pro', 'Noto Sans'))}), "
        f"size: 12pt, lang: {string_of(pack.language)}, fallback: true)",
        f"#set page(width: {paper.width}mm, height: {paper.height}mm, "
        f"margin: (x: {paper.side}mm, top: {paper.head}mm, bottom: {paper.foot}mm), "
        f"header-ascent: 4mm, footer-descent: 3mm)",
        "#set par(leading: 0.56em, spacing: 0.9em)",
    ]
    foot = " · ".join(
        bit
        for bit in (pack.title, f"{words['revision']} {pack.revision}" if pack.revision else "", pack.made_on)
        if bit
    )
    foot = fitted(shown(foot), width=paper.room[0] - 30, height=2.52)
    named = {page.name: number for number, page in enumerate(pack.pages) if page.name}
    for group in groups_of(numbers, settings or {}):
        setting = (settings or {}).get(group[0], AS_DESIGNED)
        on = _Sheet(pack, paper, setting.level, only is not None, pointing)
        parts.append(_sheet(group, on, foot, words, setting, named, 0 if part is None else part.begins - 1))
    return "\n".join(parts)


def groups_of(numbers: Iterable[int], settings: Mapping[int, Setting]) -> list[list[int]]:
    """Pages that share a sheet, together."""
    groups: list[list[int]] = []
    for number in numbers:
        if groups and settings.get(number, AS_DESIGNED).joined:
            groups[-1].append(number)
        else:
            groups.append([number])
    return groups


@cache
def _style() -> str:
    return (files("longpoint.export") / "sheet.typ").read_text(encoding="utf-8")


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What blocks need to know of the sheet they stand on."""

    pack: Pack
    paper: Paper
    level: int
    trial: bool
    pointing: Callable[[int], str]


def _style_of(level: int) -> str:
    gap, sizes = LEVELS[level]
    return f"#let level-{level} = sheet-style({gap}, ({', '.join(f'{n}: {size}pt' for n, size in sizes.items())}))"


def _sheet(
    group: Sequence[int],
    on: _Sheet,
    foot: str,
    words: Mapping[str, str],
    setting: Setting,
    named: Mapping[str, int],
    before_it: int,
) -> str:
    """The source of pages that share a sheet; most are alone on theirs. ``before_it``: sheets in files before."""
    pages = [on.pack.pages[number] for number in group]
    paper, room = on.paper, on.paper.room[0]
    bodies = []
    for number, page in zip(group, pages, strict=True):
        mark = "none"
        if page.stamp:
            mark = f"stamp-mark({string_of(page.stamp)})"
        elif page.full_size:
            mark = f"size-mark({string_of(words['full-size'])})"
        body = "\n".join(_block(block, on, room) for block in page.blocks)
        joined = "true" if number != group[0] else "false"
        lead = words_of(page.lead) if page.lead else "none"
        bodies.append(
            f"#metadata({string_of(page.key)}) <sheet-{number}>\n"
            f"#page-title({string_of(page.title)}, {lead}, {mark}, joined: {joined})\n{body}\n"
            f"#metadata({number}) <end-of-page>"
        )
    names = dict.fromkeys(name for page in pages for name in page.about)
    about = fitted(shown(", ".join(names)), width=room * 0.62, height=2.52, weight="semibold")
    section = " · ".join(dict.fromkeys(page.section for page in pages))
    before, after = _neighbours(group, on, words, named)
    free = f"margin: (bottom: {paper.foot + setting.foot}mm), footer-descent: {3 + setting.foot}mm, "
    return (
        f"#[#let ({_STYLED}) = level-{setting.level}\n"
        f"#page({free if setting.foot else ''}"
        f"header: running-head({string_of(section)}, {string_of(about)}), "
        f"footer: running-foot({before}, {after}, {string_of(foot)}, {string_of(words['page-of'])}, {before_it}))[\n"
        + "\n".join(bodies)
        + "\n]]"
    )


def _neighbours(
    group: Sequence[int], on: _Sheet, words: Mapping[str, str], named: Mapping[str, int]
) -> tuple[str, str]:
    """What comes before and after a sheet in the work, as source."""
    first, last = on.pack.pages[group[0]], on.pack.pages[group[-1]]
    if not named:
        return "none", "none"
    sides = []
    for key, asked, nearest in (
        ("before", first.before, group[0] - 1),
        ("after", last.after, group[-1] + 1),
    ):
        found = [named[name] for name in asked if name in named]
        if not found and 0 <= nearest < len(on.pack.pages):
            found = [nearest]
        share = on.paper.room[0] * 0.46 - 10.0 * len(found) - width_of(words[key], height=2.52)
        listed = []
        for number in found:
            page = on.pack.pages[number]
            name = fitted(shown(page.contents or page.title), width=share / len(found), height=2.52)
            listed.append(f"({on.pointing(number)}, {string_of(name)})")
        made = "".join(f"{each}, " for each in listed)
        sides.append(f"neighbours({string_of(words[key])}, ({made}))" if listed else "none")
    return sides[0], sides[1]


def _block(block: Block, on: _Sheet, room: float) -> str:
    """One block as source; ``room`` is the width it has [mm]."""
    match block:
        case Heading():
            return f"#heading-{block.level}({string_of(block.words)})"
        case Paragraph():
            strong = "true" if block.strong else "false"
            return f"#para({words_of(block.words)}, size: {string_of(block.size)}, strong: {strong})"
        case Bullets():
            return f"#bullets(size: {string_of(block.size)}, {list_of(block.items)})" if block.items else ""
        case CautionBox():
            return f"#caution({string_of(block.title)}, {list_of(block.items)})" if block.items else ""
        case Steps():
            return _steps(block, on, room)
        case Table():
            return _table(block, room, on.level)
        case Figures():
            items = ", ".join(f"({words_of(what)}, {words_of(number)})" for what, number in block.items)
            return f"#figures({items})"
        case Blanks():
            items = ", ".join(
                f"({words_of(what)}, {words_of(printed)}, {words_of(unit)})"
                for what, printed, unit in block.items
            )
            return f"#blanks({block.columns}, {items})"
        case BigWords():
            return _big_words(block, room)
        case Drawing():
            return _drawing(block, on, room)
        case Photo():
            return _photo(block, on, room)
        case Gap():
            return f"#v({block.height}mm)"
        case NewSheet():
            return "#pagebreak(weak: true)"
        case Together():
            inner = "\n".join(_block(item, on, room) for item in block.blocks)
            return f"#block(breakable: false, width: 100%, above: 5.5mm)[\n{inner}\n]"
        case Beside():
            return _beside(block, on, room)
        case Contents():
            return contents_of(on.pack.pages, room=room, pointing=on.pointing)


_BESIDE_STEPS = 0.65
"""Most of the sheet's width that a drawing beside a step may take, so that there is room for its words."""


def _steps(block: Steps, on: _Sheet, room: float) -> str:
    def one(step: Step) -> str:
        stamp = f"stamp-mark({string_of(step.stamp)})" if step.stamp else "none"
        view = "none"
        if step.view is not None:
            view = _image(_on_sheet(step.view, on, room * _BESIDE_STEPS), on)
        lines = ", ".join(words_of(line) for line in step.lines)
        return f"({words_of(step.words)}, {stamp}, {view}, ({lines}{',' if step.lines else ''}))"

    tick = "true" if block.tick else "false"
    kind = "close-steps" if block.close else "steps"
    return f"#{kind}({block.first}, {tick}, {', '.join(one(step) for step in block.items)})"


_ALIGN = {"start": "left", "middle": "center", "end": "right"}


def _table(block: Table, room: float, level: int) -> str:
    columns = list(block.columns)
    size = LEVELS[level][1]["table" if block.size == "body" else block.size]
    widths = [f"{width:.2f}mm" for width in column_widths(block, room - (8.0 if block.tick else 0.0), size)]
    aligns = [_ALIGN[column.across] for column in columns]
    header = [string_of(column.title) for column in columns]
    if block.tick:
        widths.insert(0, "8mm")
        aligns.insert(0, "left")
        header.insert(0, '""')
    heads = dict(block.heads)
    cells: list[str] = []
    for number, row in enumerate(block.rows):
        if number in heads:
            close = "true" if block.close else "false"
            cells.append(f"sub-head({len(widths)}, {words_of(heads[number])}, close: {close})")
        cells += _row(columns, row, tick=block.tick)
    if block.sums:
        cells += ["sum-cell([])"] if block.tick else []
        given = iter(block.sums)
        cells += [
            f"sum-cell({words_of(next(given, ''))})" if column.blank is None else "sum-cell([])"
            for column in columns
        ]
    return (
        f"#rows(({', '.join(widths)},), align: ({', '.join(aligns)},), header: ({', '.join(header)},), "
        f"size: {string_of(block.size)}, close: {'true' if block.close else 'false'}, {', '.join(cells)})"
    )


def _row(columns: Sequence[Column], row: tuple[str, ...], *, tick: bool) -> list[str]:
    cells = ["tick-box()"] if tick else []
    given = iter(row)
    for column in columns:
        if column.blank is not None:
            cells.append("[]")
            continue
        words = words_of(next(given, ""))
        cells.append(f"text(weight: 700, {words})" if column.strong else words)
    return cells


def _big_words(block: BigWords, room: float) -> str:
    widest = max(width_of(shown(words), height=10, weight="bold") for words in (*block.words, *block.like))
    capital = min(11.0, 10 * (room - 14) / widest)  # mm
    size = capital / 0.66 / _POINT
    return f"#big-words({size:.1f}pt, {', '.join(string_of(words) for words in block.words)})"


_CAPTION = 9.0
"""Height kept for what is written below a drawing. [mm]"""


def _drawing(block: Drawing, on: _Sheet, room: float) -> str:
    view = _on_sheet(block.view, on, room)
    close = "true" if block.close else "false"
    caption = block.caption or view.title
    words = words_of(caption) if caption else "none"
    return f"#drawing({_image(view, on)}, {words}, close: {close})"


def _photo(block: Photo, on: _Sheet, room: float) -> str:
    size = f"width: {room:.2f}mm, height: {block.height:.2f}mm"
    path = string_of(f"/{block.file}", flat=False)
    made = f'image({path}, {size}, fit: "contain", alt: {string_of(block.shows)})'
    below = words_of(block.below) if block.below else "none"
    return f"#drawing({f'box({size})' if on.trial else made}, {below}, close: true)"


def _on_sheet(view: View, on: _Sheet, room: float) -> View:
    """The view as it has room, smaller where it must be; nothing at full size is ever made smaller."""
    high = on.paper.room[1]
    if view.full_size or (view.width <= room and view.height <= high - _CAPTION):
        return view
    return fitted_view(view, room=(room, high - _CAPTION if view.height > high else high))


def _image(view: View, on: _Sheet) -> str:
    """A drawing; in trials an empty frame of its size, which is quicker."""
    size = f"width: {view.width:.4f}mm, height: {view.height:.4f}mm"
    if on.trial:
        return f"box({size})"
    source = string_of(svg_of(view, standalone=False), flat=False)
    return f'image(bytes({source}), format: "svg", {size}, alt: {string_of(view.title or view.name)})'


def _beside(block: Beside, on: _Sheet, room: float) -> str:
    shares = block.shares or (1.0,) * len(block.columns)
    free = room - 8.0 * (len(block.columns) - 1)
    columns = [
        "[" + "\n".join(_block(item, on, free * share / sum(shares)) for item in column) + "]"
        for column, share in zip(block.columns, shares, strict=True)
    ]
    return f"#beside(({', '.join(f'{share}fr' for share in shares)},), {', '.join(columns)})"
