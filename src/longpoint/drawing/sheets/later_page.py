"""Next time: stretching again, taking cloth off, the frame once more, a ridge; and what of it is worth doing."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.paper.pages import Block, Column, Heading, Page, Step, Steps, Table
from longpoint.drawing.sheets.canvas_sheet import CanvasSheet
from longpoint.drawing.words.voice import Voice
from longpoint.stretching.next_time import Afterwards
from longpoint.stretching.steps import BenchStep, Facts

_FEW = 4
"""So many figures of different works are listed, more are given as a range."""


def later_page(works: Sequence[CanvasSheet], *, say: Voice) -> Page:
    """What can be done to the works later on.

    Args:
        works: All works.
        say: How the sheet speaks.
    """
    first = {later.key: later for later in works[0].afterwards}
    blocks: list[Block] = [_worth(works, say)]
    for key, later in first.items():
        blocks.append(Heading(say(f"later.{key}"), 2))
        blocks.append(Steps(tuple(Step(_step(step, later, works, say)) for step in later.steps), tick=False))
    return Page(
        "later",
        say("section-name.after"),
        say("later.title"),
        tuple(blocks),
        about=tuple(work.name for work in works),
        lead=say("later.lead"),
    )


def _worth(works: Sequence[CanvasSheet], say: Voice) -> Table:
    lines: dict[tuple[str, str, str], list[str]] = {}
    for work in works:
        for later in work.afterwards:
            words = (
                say(f"later.{later.key}"),
                say("later.yes" if later.worth_it else "later.no"),
                say(f"later.why-{later.why.key}", **_values(later.why.facts, say)),
            )
            lines.setdefault(words, []).append(work.code)
    order = [say(f"later.{later.key}") for later in works[0].afterwards]
    rows = sorted(lines.items(), key=lambda line: order.index(line[0][0]))
    return Table(
        (
            Column(say("later.what"), strong=True),
            Column(say("later.worth")),
            Column(say("later.for"), share=0.6),
            Column(say("later.why"), share=1.0),
        ),
        tuple(
            (what, worth, say("later.all") if len(codes) == len(works) else ", ".join(codes), why)
            for (what, worth, why), codes in rows
        ),
    )


def _values(facts: Facts, say: Voice) -> dict[str, str]:
    """Figures by names that a text may hold."""
    sign = say("sheet.decimal-sign")
    return {name.replace(" ", "_"): _in_own_sign(text, sign) for name, text in facts}


def _in_own_sign(text: str, sign: str) -> str:
    return text.replace(".", sign) if any(letter.isdigit() for letter in text) else text


def _listed(texts: Sequence[str]) -> str:
    """Figures that differ from work to work, each once; many as the first and the last in size."""
    different = sorted(dict.fromkeys(texts), key=lambda text: (len(text), text))
    return " / ".join(different) if len(different) <= _FEW else f"{different[0]} … {different[-1]}"


def _step(step: BenchStep, later: Afterwards, works: Sequence[CanvasSheet], say: Voice) -> str:
    """A step; a figure that differs from work to work is told for each."""
    every: dict[str, list[str]] = {}
    for work in works:
        own = next(one for one in work.afterwards if one.key == later.key)
        found = next((one for one in own.steps if one.key == step.key), step)
        for name, text in _values(found.facts, say).items():
            every.setdefault(name, []).append(text)
    values = {name: _listed(texts) for name, texts in every.items()}
    if "place" in values:
        values["place"] = say(f"later.{values['place']}")
    key = f"later.{step.key}"
    return f"**{say(key)}** {say(f'{key}-how', **values)}"
