"""Verdicts and tensions as rows: the same in ``plan.json`` and in what ``longpoint check --json`` prints."""

from __future__ import annotations

from math import isfinite
from typing import Literal

from pydantic import Field

from longpoint.drawing.words.strength import limit_words, remedy_words, verdict_sentence
from longpoint.drawing.words.voice import Voice
from longpoint.export.rows.row import Row
from longpoint.strength.verdicts.verdict import Verdict
from longpoint.works.tension import Tensions


class RemedyRow(Row):
    """A change that would meet a limit."""

    says: str
    what: list[str] = Field(description="Short stable names of what is changed.")
    value: float | None = Field(description="What the judged number becomes.")
    price: float | None = Field(description="What it costs more; null where nothing is priced.")
    timber_metres: float


class VerdictRow(Row):
    """One question about a work, its answer, and what it is held against."""

    key: str
    stage: Literal["left", "making", "year", "years", "any"] = Field(
        description="When: as the canvas is left, while it is made, through the year, years on, at any of them."
    )
    answer: Literal["holds", "unless", "not"] | None = Field(
        description="Holds, holds unless doubts come out badly, does not hold; null where nothing is judged."
    )
    likely: float | None = Field(description="The judged number; null where nothing could be solved.")
    low: float | None
    high: float | None
    unit: str
    limit: float | None
    sense: str
    source: str = Field(description='Where the limit comes from; "" where it was stated or follows.')
    how_sure: str
    judge: str = Field(description="Who can change it: design, wish, bench, nobody.")
    place: str
    numbers: dict[str, float | None]
    says: str = Field(description="In the batch's language.")
    held_against: str
    remedy: RemedyRow | None


class TensionRow(Row):
    """Mean tension at one stage, N/m."""

    stage: str
    least: float
    likely: float
    most: float
    whence: Literal["rehearsed", "estimated", "wished"] = Field(
        description="On the work's own frame; estimated; or pulled again until the press test shows it."
    )


def verdict_rows(verdicts: tuple[Verdict, ...], say: Voice, *, currency: str) -> list[VerdictRow]:
    """Every verdict of one work.

    Args:
        verdicts: The verdicts.
        say: How sentences are said.
        currency: Behind amounts.
    """
    return [_row(verdict, say, currency) for verdict in verdicts]


def tension_rows(tensions: Tensions) -> list[TensionRow]:
    """The tensions of one work at each stage."""
    return [
        TensionRow(
            stage=stage.name,
            least=round(1000 * stage.tension.low, 1),
            likely=round(1000 * stage.tension.middle, 1),
            most=round(1000 * stage.tension.high, 1),
            whence=stage.whence,
        )
        for stage in tensions.stages
    ]


def _row(verdict: Verdict, say: Voice, currency: str) -> VerdictRow:
    remedy = verdict.remedy
    return VerdictRow(
        key=verdict.key,
        stage=verdict.stage,
        answer=verdict.answer,
        likely=six_figures(verdict.value),
        low=six_figures(verdict.low),
        high=six_figures(verdict.high),
        unit=verdict.unit,
        limit=None if verdict.limit is None else six_figures(verdict.limit),
        sense=verdict.sense,
        source=verdict.source,
        how_sure=verdict.tag,
        judge=verdict.judge,
        place=verdict.place,
        numbers={name: six_figures(number) for name, number in verdict.numbers},
        says=verdict_sentence(verdict, say),
        held_against=limit_words(verdict, say),
        remedy=None
        if remedy is None
        else RemedyRow(
            says=remedy_words(remedy, verdict, say, currency=currency),
            what=list(remedy.what),
            value=six_figures(remedy.value),
            price=None if remedy.price is None else round(remedy.price, 2),
            timber_metres=round(remedy.timber, 3),
        ),
    )


def six_figures(value: float) -> float | None:
    """Six significant digits: what a reader can use, and the same on every machine; None where nothing was solved."""
    return float(f"{value:.6g}") if isfinite(value) else None
