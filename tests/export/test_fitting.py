"""Whether pages are set so that no sheet carries a few left-over lines, and letters stay readable."""

from __future__ import annotations

from dataclasses import replace

from longpoint.drawing.paper.extent import Box
from longpoint.drawing.paper.lettering import CAPITAL
from longpoint.drawing.paper.pages import Bullets, Drawing, Pack, Page, Paragraph
from longpoint.drawing.paper.view import View
from longpoint.export.packs.fitting import THIN, fills_of, laid_out
from longpoint.export.typeset.pack_source import LEVELS, Setting

POINT = 25.4 / 72  # mm


def _lines(count: int) -> Page:
    return Page("p", "s", "t", (Bullets(tuple(f"line {n}" for n in range(count))),))


def test_lettering_never_goes_below_two_and_a_half_millimetres() -> None:
    # 2.5 mm: least height of lettering on drawings, ISO 3098 series (from memory)
    for _, sizes in LEVELS:
        assert min(sizes.values()) * POINT * CAPITAL >= 2.5


def test_a_few_lines_too_many_are_taken_in_by_setting_the_page_tighter() -> None:
    full = next(count for count in range(30, 80) if fills_of(Pack("t", "r", (_lines(count),)))[0].sheets == 2)
    pack = Pack("t", "r", (_lines(7), _lines(full + 1)))
    settings = laid_out(pack).settings
    assert set(settings) == {1}
    fills = fills_of(pack, settings=settings)
    assert [fills[n].sheets for n in (0, 1)] == [1, 1]


def test_what_cannot_be_taken_in_is_shared_out() -> None:
    # six pictures 42 mm high do not fit A4 however tightly they stand; five do, so that one is left over
    view = View("picture", (), Box(0.0, 0.0, 90.0, 42.0), 1.0)
    pack = Pack("t", "r", (Page("p", "s", "t", (Drawing(view),) * 6),))
    assert fills_of(pack)[0].last < THIN
    settings = laid_out(pack).settings
    assert settings[0].foot > 0
    shared = fills_of(pack, settings=settings)[0]
    assert (shared.sheets, shared.last >= THIN) == (2, True)


def test_pages_that_fill_their_sheets_are_left_as_designed() -> None:
    half = Page("p", "s", "t", (Paragraph("word " * 1500),))
    pack = Pack("t", "r", (_lines(5), half))
    assert fills_of(pack)[1].last > 0.5 or fills_of(pack)[1].sheets == 1
    assert laid_out(pack).settings == {}


def test_pages_share_sheets_in_the_way_that_takes_the_fewest() -> None:
    whole = next(
        count for count in range(30, 80) if fills_of(Pack("t", "r", (_lines(count),)))[0].sheets == 2
    )
    pack = Pack("t", "r", tuple(_lines(int(share * whole)) for share in (0.55, 0.2, 0.55, 0.25, 0.5)))
    settings = laid_out(pack).settings
    assert sum(setting.joined for setting in settings.values()) == 2  # three sheets for five pages
    assert all(fill.sheets == 1 for fill in fills_of(pack, settings=settings).values())


def test_a_page_that_may_flow_is_broken_only_where_that_saves_a_sheet() -> None:
    whole = next(
        count for count in range(30, 80) if fills_of(Pack("t", "r", (_lines(count),)))[0].sheets == 2
    )
    first, second, third = (replace(_lines(int(share * whole)), flows=True) for share in (0.6, 0.55, 0.6))
    large = replace(_lines(int(0.75 * whole)), flows=True)
    loose = laid_out(Pack("t", "r", (large, large))).settings
    assert not any(setting.joined for setting in loose.values())
    tight = Pack("t", "r", (first, second, third))
    settings = laid_out(tight).settings
    fills = fills_of(tight, settings=settings)
    assert sum(fill.sheets for fill in fills.values()) - sum(s.joined for s in settings.values()) == 2


def test_the_next_page_goes_on_where_a_page_with_its_own_sheet_spills_over() -> None:
    spilling = Page("w", "s", "t", (Paragraph("word " * 1500),), alone=True)
    fill = fills_of(Pack("t", "r", (spilling,)), settings={0: Setting(len(LEVELS) - 1)})[0]
    assert fill.sheets == 2  # however tightly it is set
    after = replace(_lines(5), flows=True)
    settings = laid_out(Pack("t", "r", (spilling, after))).settings
    assert settings[1].joined
    assert not laid_out(Pack("t", "r", (replace(_lines(5), alone=True), after))).settings
