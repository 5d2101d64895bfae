"""What goes wrong and why, and the words used on the sheets."""

from __future__ import annotations

from longpoint.drawing.paper.pages import Column, Heading, Page, Table
from longpoint.drawing.words.voice import Voice

_TROUBLES = (
    "ridge",
    "rail-line",
    "open-mitre",
    "split-corner",
    "ripple",
    "slack",
    "out-of-square",
    "wind",
)
_WORDS = (
    "lip", "bevel", "long-point", "short-point", "thickness", "depth", "cross-rail", "end-rail", "middle-piece",
    "drop", "gap", "rod", "wind-word", "turnover-word", "run-word", "pulled-in", "ridge-word", "reference-end",
)  # fmt: skip


def trouble_page(*, say: Voice) -> Page:
    """What goes wrong and why, cause and cure; below it the words used on the sheets."""
    rows = tuple(
        (say(f"trouble.{key}"), say(f"trouble.{key}-cause"), say(f"trouble.{key}-cure")) for key in _TROUBLES
    )
    table = Table(
        (
            Column(say("trouble.what"), strong=True),
            Column(say("trouble.cause"), share=1.0),
            Column(say("trouble.cure"), share=1.0),
        ),
        rows,
    )
    return Page(
        "trouble",
        say("section-name.after"),
        say("trouble.title"),
        (table, Heading(say("word.title")), _words(say)),
        lead=say("trouble.lead"),
    )


def _words(say: Voice) -> Table:
    rows = tuple((say(f"word.{key}"), say(f"word.{key}-is")) for key in _WORDS)
    return Table((Column(say("word.word"), strong=True), Column(say("word.means"), share=1.0)), rows)
