"""What a large batch costs: counted, not timed. `growth.py` beside measures."""

from __future__ import annotations

import pytest

from longpoint.choosing import bench as bench_room
from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.chooser import ComputedChooser
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
