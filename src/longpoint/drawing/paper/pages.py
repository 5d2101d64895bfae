"""Pages as plain values: what stands on a sheet, in which order, without a printer.

A *pack* is the printed document of a batch; it holds *pages*, and a page holds *blocks* one below the other.
Pages are made by functions that take engine values and a voice (`longpoint.drawing.words.voice`), and are turned
into bytes by `longpoint.export.typeset.pack`. A page that needs more room than a sheet runs on to the next one, except
full-size pages, which must fit.

Words in blocks may hold ``**strong**`` stretches and nothing else; every other sign is printed as it stands.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from longpoint.drawing.paper.view import View
from longpoint.errors import FaultsError, refuse


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper and what may be drawn on it.

    Attributes:
        name: As it is asked for in the shop.
        width: Of the sheet, upright. [mm]
        height: Of the sheet, upright. [mm]
        side: Border left and right. [mm]
        head: Border on top, with the running head in it. [mm]
        foot: Border below, with the running foot in it. [mm]
    """

    name: str
    width: float
    height: float
    side: float = 14.0
    head: float = 19.0
    foot: float = 16.0

    @property
    def room(self) -> tuple[float, float]:
        """Width and height inside the borders. [mm]."""
        return (self.width - 2 * self.side, self.height - self.head - self.foot)


A4 = Paper("A4", 210.0, 297.0)
"""ISO 216."""

LETTER = Paper("Letter", 215.9, 279.4)
"""US Letter, 8 1/2 × 11 in."""

PAPERS = {"a4": A4, "letter": LETTER, "us letter": LETTER, "us-letter": LETTER}


def paper_named(name: str) -> Paper:
    """The paper of this name, capitals or not.

    Raises:
        FaultsError: If no such paper is known.
    """
    paper = PAPERS.get(name.strip().lower())
    if paper is None:
        raise unknown_paper(name)
    return paper


def unknown_paper(name: str) -> FaultsError:
    """The fault of a paper that the sheets are not made for."""
    return refuse(
        "unknown-paper",
        f"The sheets are not made for paper called {name!r}.",
        "Choose A4 or Letter.",
    )


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading inside a page.

    Attributes:
        words: What it says.
        level: 1 for a main heading, 2 for a smaller one.
    """

    words: str
    level: Literal[1, 2] = 1


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text.

    Attributes:
        words: What it says.
        size: ``large`` for what must be read from a step away, ``small`` for sources and remarks.
        strong: Whether all of it is strong.
    """

    words: str
    size: Literal["small", "body", "large"] = "body"
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Bullets:
    """Short statements one below the other."""

    items: tuple[str, ...]
    size: Literal["small", "body", "large"] = "body"


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do.

    Attributes:
        words: What to do.
        stamp: How the work lies meanwhile, e.g. FACE DOWN; "" if it does not matter.
        view: A drawing beside the words; None for none.
        lines: Further lines below, each on its own.
    """

    words: str
    stamp: str = ""
    view: View | None = None
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Steps:
    """Things to do in order, each with a number and a box to tick.

    Attributes:
        items: The steps.
        first: Number of the first one.
        tick: Whether each has a box to tick.
        close: Whether they stand close together, one short line or two each.
    """

    items: tuple[Step, ...]
    first: int = 1
    tick: bool = True
    close: bool = False


@dataclass(frozen=True, slots=True)
class CautionBox:
    """What can hurt or spoil, set apart from everything else.

    Attributes:
        title: The word over it, e.g. Caution.
        items: One statement each.
    """

    title: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Attributes:
        title: Its head.
        across: Where the words stand; numbers stand at the end.
        share: Part of the free width it takes; None for as much as it needs.
        strong: Whether its words are strong.
        blank: Width of an empty column to write in; None for a printed one. [mm]
    """

    title: str
    across: Literal["start", "middle", "end"] = "start"
    share: float | None = None
    strong: bool = False
    blank: float | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """Rows and columns.

    Attributes:
        columns: The columns.
        rows: A text for each column that is not blank, row by row.
        tick: Whether each row begins with a box to tick.
        sums: A last row set apart; () for none.
        heads: Row numbers (from 0) before which a line with a subheading stands, and its words.
        size: Size of the lettering.
        close: Whether the rows stand close together.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    tick: bool = False
    sums: tuple[str, ...] = ()
    heads: tuple[tuple[int, str], ...] = ()
    size: Literal["small", "body", "large"] = "body"
    close: bool = False


@dataclass(frozen=True, slots=True)
class Figures:
    """A few large numbers with what they are, side by side: (what, number)."""

    items: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Blanks:
    """Lines to write on: (what, printed value or "", unit)."""

    items: tuple[tuple[str, str, str], ...]
    columns: int = 2


@dataclass(frozen=True, slots=True)
class BigWords:
    """Words to be read from across the shop, e.g. how the saw swings.

    Attributes:
        words: One line each.
        like: Further words elsewhere on the page that shall come out equally large.
    """

    words: tuple[str, ...]
    like: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing, printed at the size of its edge.

    Attributes:
        view: The drawing.
        caption: Below it; "" for the view's own title.
        close: Whether it stands close to its neighbours, as boards below one another do.
    """

    view: View
    caption: str = ""
    close: bool = False


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph, whole, in a room of this height.

    Attributes:
        file: Path in the folder of pictures, with ``/``.
        shows: What it shows, said to whoever cannot see it, too.
        below: What is said below it.
        height: Of its room. [mm]
    """

    file: str
    shows: str
    below: str = ""
    height: float = 44.0


@dataclass(frozen=True, slots=True)
class Gap:
    """Empty height. [mm]."""

    height: float = 4.0


@dataclass(frozen=True, slots=True)
class NewSheet:
    """What follows begins on a new sheet."""


@dataclass(frozen=True, slots=True)
class Together:
    """Blocks that stay on one sheet."""

    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Beside:
    """Blocks in columns next to each other.

    Attributes:
        columns: The blocks of each column.
        shares: Part of the width each column takes; () for equal ones.
    """

    columns: tuple[tuple[Block, ...], ...]
    shares: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Contents:
    """The list of all pages of the pack with their numbers."""


Block: TypeAlias = (
    Heading
    | Paragraph
    | Bullets
    | Steps
    | CautionBox
    | Table
    | Figures
    | Blanks
    | BigWords
    | Drawing
    | Photo
    | Gap
    | NewSheet
    | Together
    | Beside
    | Contents
)


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the pack; short pages that follow one another share a sheet where they fit.

    Attributes:
        key: Short stable name, e.g. ``saw``; pages of equal key stand together in the contents.
        section: Part of the order of work it belongs to, e.g. Saw.
        title: Its heading, also in the contents.
        blocks: What stands on it.
        about: Names of the works it is about; () for the whole batch.
        stamp: How the work lies, e.g. FACE DOWN; "" if it does not matter.
        lead: One line under the title.
        full_size: Whether it must be printed at exactly full size; such a page says so itself.
        listed: Whether it stands in the contents.
        contents: What it is called there, and on the sheets before and after it; "" for its title.
        name: Unique in its pack, for the sheets that point to it; "" where none does.
        before: Names of the pages that come before it in the work; () for the one printed before it.
        after: Names of the pages that come after it; () for the one printed after it.
        alone: Whether it has its sheet for itself.
        flows: Whether it may begin on the sheet before it and go on on the next.
    """

    key: str
    section: str
    title: str
    blocks: tuple[Block, ...]
    about: tuple[str, ...] = ()
    stamp: str = ""
    lead: str = ""
    full_size: bool = False
    listed: bool = True
    contents: str = ""
    name: str = ""
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    alone: bool = False
    flows: bool = False


@dataclass(frozen=True, slots=True)
class Pack:
    """The printed document of a batch.

    Attributes:
        title: Name of the batch.
        revision: Which state of the batch it shows, e.g. the first signs of the plan's fingerprint.
        pages: In the order of the work. The first one carries the contents.
        made_on: Date as it is to be printed; "" for none. Never read from a clock.
        language: Two letters, for hyphens and for readers aloud.
        words: Fixed words of the frame round the pages, from the voice: see `frame_words`.
    """

    title: str
    revision: str
    pages: tuple[Page, ...]
    made_on: str = ""
    language: str = "en"
    words: tuple[tuple[str, str], ...] = ()


def drawings_of(page: Page) -> tuple[View, ...]:
    """Every view on a page, in order, those in columns and steps too."""

    def walk(blocks: tuple[Block, ...]) -> list[View]:
        found: list[View] = []
        for block in blocks:
            if isinstance(block, Drawing):
                found.append(block.view)
            elif isinstance(block, Together):
                found += walk(block.blocks)
            elif isinstance(block, Beside):
                for column in block.columns:
                    found += walk(column)
            elif isinstance(block, Steps):
                found += [step.view for step in block.items if step.view is not None]
        return found

    return tuple(walk(page.blocks))
