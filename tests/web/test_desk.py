"""Batches on disk: steps back, names that are made here."""

from __future__ import annotations

from pathlib import Path

import pytest

from longpoint.web.desk import Desk, NotThereError


def test_steps_go_back_one_by_one_and_typing_in_one_field_is_one_step(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    ident = desk.new_batch("a", title="A", works=1)
    for text, step in (("ab", "work[1].width"), ("abc", "work[1].width"), ("abcd", "work[1].height")):
        desk.put(ident, text, title="A", works=1, step=step)
    assert desk.back(ident) == "abc"
    assert desk.back(ident) == "a"
    assert desk.back(ident) is None and desk.text(ident) == "a"


@pytest.mark.parametrize("name", ["../../etc", "..", "A" * 12, "", "0123456789ab/../..", "%2e%2e"])
def test_a_name_that_was_not_made_here_opens_nothing(tmp_path: Path, name: str) -> None:
    desk = Desk(tmp_path)
    with pytest.raises(NotThereError):
        desk.home(name)
    with pytest.raises(NotThereError):
        desk.run_home(desk.new_batch("a", title="A", works=1), name)
