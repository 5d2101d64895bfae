"""The first page of the reasons: every limit of every work, likely and at worst, yes or no."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.paper.pages import Block, Column, Page, Paragraph, Table
from longpoint.drawing.words.strength import amount, bound_words, mark_of, verdict_name
from longpoint.drawing.words.voice import Voice
from longpoint.strength.verdicts.verdict import Verdict

_BESIDE = 3
"""Works beside one another."""


def limits_page(works: Sequence[tuple[str, str, tuple[Verdict, ...]]], *, say: Voice) -> Page:
    """Every limit held against every work that was computed.

    Args:
        works: Letters of the marks, name and verdicts of each.
        say: How the sheet speaks.
    """
    alike: dict[tuple[Verdict, ...], list[tuple[str, str]]] = {}
    for code, name, verdicts in works:
        alike.setdefault(verdicts, []).append((code, name))
    blocks: list[Block] = [Paragraph(say("reasons.how"), "small")]
    groups = list(alike.items())
    for first in range(0, len(groups), _BESIDE):
        blocks.append(_table(groups[first : first + _BESIDE], say))
    if not groups:
        blocks = [Paragraph(say("work-sheet.by-rule-line"))]
    return Page(
        "limits",
        say("section-name.strength"),
        say("reasons.title"),
        tuple(blocks),
        lead=say("reasons.lead"),
        name="limits",
    )


def _both(likely: str, worst: str) -> str:
    """Two amounts, their unit said once and kept on their line."""
    value, _, unit = likely.rpartition(" ")
    if value and worst.endswith(f" {unit}"):
        likely, worst = value, worst.replace(" ", "\u00a0")
    return f"{likely} / {worst}"


def _table(groups: Sequence[tuple[tuple[Verdict, ...], list[tuple[str, str]]]], say: Voice) -> Table:
    """A row for each limit: what is held against it, and each work's likely value, its worst, and the answer."""
    found = [{verdict.key: verdict for verdict in verdicts} for verdicts, _ in groups]
    keys = dict.fromkeys(key for each in found for key in each)
    rows = []
    for key in keys:
        own = [each.get(key) for each in found]
        judged = [verdict for verdict in own if verdict is not None and verdict.limit is not None]
        if not judged:
            continue
        bounds = list(dict.fromkeys(bound_words(verdict, say).replace(" ", "\u00a0") for verdict in judged))
        cells = []
        for verdict in own:
            if verdict is None or verdict.limit is None:
                cells += ["–", ""]
                continue
            worst = verdict.high if verdict.sense == "at most" else verdict.low
            cells += [
                _both(amount(verdict.value, verdict, say), amount(worst, verdict, say)),
                say(f"reasons.{mark_of(verdict)}"),
            ]
        limit = bounds[0] if len(bounds) == 1 else " · ".join(bounds)
        rows.append((verdict_name(judged[0], say), limit, *cells))
    heads: list[Column] = []
    for _, names in groups:
        heads += [Column(", ".join(code for code, _ in names), "end"), Column("", strong=True)]
    return Table(
        (
            Column(say("strength.table-what"), share=1.0, strong=True),
            Column(say("strength.table-limit")),
            *heads,
        ),
        tuple(rows),
        size="small",
        close=True,
    )
