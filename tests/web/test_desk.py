"""Batches on disk: steps back, names that are made here."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from longpoint.web.desk import Desk, NotThereError
from web.conftest import BATCH


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


def test_what_another_state_of_the_program_told_is_not_read(client: TestClient, tmp_path: Path) -> None:
    desk = Desk(tmp_path / "desk")
    ident = desk.new_batch(BATCH, title="Small", works=1)
    run = desk.home(ident) / "runs" / "0123456789ab"
    told = run / "told" / "en-mm"
    told.mkdir(parents=True)
    for name in ("plan", "saw", "bevel", "money", "yard"):  # told without what today's pages look for
        (told / f"{name}.json").write_text("{}", encoding="utf-8")
    (run / "batch.toml").write_text(BATCH, encoding="utf-8")
    (run / "run.json").write_text('{"number": 1}', encoding="utf-8")
    (run / "end.json").write_text('{"state": "done", "revision": "abc"}', encoding="utf-8")
    assert desk.runs(ident) == [run.name]
    for page in ("", "/plan", "/saw", "/money"):
        assert client.get(f"/b/{ident}{page}").status_code in (200, 303, 404), page
