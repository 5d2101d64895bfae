"""What a large batch costs: counted, not timed. `growth.py` beside measures."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from longpoint.choosing import bench as bench_room
from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.chooser import ComputedChooser
from longpoint.cutting import Board, BoardProblem, End, Kind, Shop, WantedPart, nanometres
from longpoint.cutting.boards.search.core import build_core
from longpoint.cutting.boards.search.listing import list_columns
from longpoint.cutting.boards.search.pricing import Pricer
from longpoint.model.reading import parse_batch
from longpoint.works.brief import briefs_of

WORK = '[[work]]\nname = "a"\nwidth = 1300\nheight = 1100\n'


@pytest.mark.slow
def test_designs_let_go_are_solved_again_to_the_same_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    def verdicts() -> object:
        found = ComputedChooser()(briefs_of(parse_batch(WORK))[0])
        assert isinstance(found, ChosenDesign)
        return found.design, [(verdict.key, verdict.value) for verdict in found.strength.verdicts]

    usual = verdicts()
    kept: list[int] = []
    keep = bench_room._keep

    def counted(store: dict[str, object], name: str, found: object) -> None:
        keep(store, name, found)
        kept.append(len(store))

    monkeypatch.setattr(bench_room, "_keep", counted)
    monkeypatch.setattr(bench_room, "RECENT", 1)
    assert verdicts() == usual
    assert max(kept) == 1 and len(kept) > 8


def test_a_thousand_lengths_are_not_listed_one_within_another() -> None:
    """The listing ends where there is too much of it, and is no deeper for each length."""
    lengths = 1_200
    parts = tuple(
        WantedPart(f"p{k}", nanometres(300 + k), 1, kind=Kind.BLOCK, ends=End.SQUARE) for k in range(lengths)
    )
    board = Board("b", nanometres(1_000_000), Fraction(1000))
    core = build_core(
        BoardProblem("21 × 44", nanometres(21), nanometres(44), parts, (board,), Shop(nanometres(3.2)))
    )
    assert len(core.items) == lengths
    listed = list_columns(
        Pricer(core, with_worth=True),
        prices=np.ones(lengths),
        needs=-np.ones(1),
        demand=np.ones(lengths, dtype=np.int64),
        most=12_000,
        steps=250_000,
    )
    assert listed is None
