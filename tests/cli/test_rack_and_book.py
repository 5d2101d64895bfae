"""Rack, plan, bench and book from the command line: a batch from the rack, spoiled, planned anew, finished."""

from __future__ import annotations

import contextlib
import errno
import io
import json
import os
import sys
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

import pytest
from pypdf import PdfReader

from longpoint.cli import entry, folder

pytestmark = pytest.mark.slow

BATCH = """
title = "Reed beds"
[[work]]
name = "Small"
width = 500
height = 400
how_many = 3
[[yard]]
name = "bars"
thickness = 21
depth = 44
lengths = [{ length = 2400, price = 6.2 }]
"""
EVENTS = '[[cut]]\nboard = "B1"\ncuts = 2\n[[spoiled]]\npart = "A1"\n'


@dataclass(frozen=True)
class Done:
    returncode: int
    stdout: str
    stderr: str


def longpoint(line: str, cwd: Path, *, who: str = "Mara") -> Done:
    """A command in this process: starting twenty would take longer than what they do."""
    out, aside = io.StringIO(), io.StringIO()
    env = {"LONGPOINT_DATA": str(cwd / "data"), "LONGPOINT_WHO": who}
    with (
        mock.patch.dict(os.environ, env),
        mock.patch.object(sys, "argv", ["longpoint", *line.split()]),
        contextlib.chdir(cwd),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(aside),
    ):
        code = entry._run()
    return Done(code, out.getvalue(), aside.getvalue())


def test_a_batch_from_the_rack_is_half_cut_spoiled_planned_anew_and_finished(tmp_path: Path) -> None:
    (tmp_path / "b.toml").write_text(BATCH, encoding="utf-8")
    (tmp_path / "e.toml").write_text(EVENTS, encoding="utf-8")

    def said(line: str, who: str = "Mara") -> str:
        done = longpoint(line, tmp_path, who=who)
        assert done.returncode == 0, done.stderr
        return done.stdout

    assert said("rack put 2600 2300 2x3000 --section 21x44").strip().endswith("B1, B2, B3, B4")
    said("rack put 1200 --section 21x44 --serves bar")
    assert "It keeps B1, B3." in said("plan b.toml -o out --by-rule --unrehearsed --rack")
    refused = longpoint("rack take B1", tmp_path, who="Ben")
    assert (
        refused.returncode == 2 and "kept for a plan" in refused.stderr and "Traceback" not in refused.stderr
    )
    said("book cut 1 B1 --cuts 2")
    assert "It keeps B1, B3, O1." in said("replan out/plan.json e.toml -o rest --rack")
    assert "B1 no. 1: A1, A2, A2, A2, A2, A2 → A2, A2, A2, A2" in said("book compare 1")
    assert "B1 has left the rack" in said("book cut 1 B1", who="Ben")
    back = said("book cut 1 O1")
    assert "O1 has left the rack" in back and "O2" in back
    said("rack labels O2 -o labels.pdf --language de")
    printed = PdfReader(tmp_path / "labels.pdf").pages[0].extract_text()
    assert "O2" in printed and "aus O1 gesägt" in printed
    said("book state W1 assembled")
    assert "act" in said("book measure W1 bottom 504")
    said("book file W1 -o w1.pdf")
    page = PdfReader(tmp_path / "w1.pdf").pages[0].extract_text()
    assert "504 mm" in page and "assembled" in page and "21 × 44 mm" in page
    assert "Free again: B3" in said("book done 1")
    assert "B1" not in said("rack list --free")
    told = json.loads(said("rack show B1 --json"))["history"]
    assert [(line["what"], line["who"]) for line in told if line["what"] == "taking"] == [("taking", "Ben")]
    assert said("store check").strip().endswith("sound.")


def test_faults_of_the_rack_are_said_in_one_round_and_nothing_comes(tmp_path: Path) -> None:
    wrong = longpoint("rack put 2400 0 --section 21x44 --grade best --cost cheap", tmp_path)
    assert wrong.returncode == 2 and "Traceback" not in wrong.stderr
    assert {word for word in ("length", "grade", "cost") if f"{word}:" in wrong.stderr} == {
        "length",
        "grade",
        "cost",
    }
    for line in (
        "rack take B1",
        "book show 7",
        "book measure W1 mass 2",
        "rack day yesterday",
        "rack list --section 21",
    ):
        done = longpoint(line, tmp_path)
        assert done.returncode == 2 and "Traceback" not in done.stderr, done.stderr
    assert longpoint("rack list", tmp_path).stdout.strip() == "Nothing."


def test_where_sheets_cannot_be_written_the_plan_before_stands_and_keeps_its_boards(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "b.toml").write_text(BATCH, encoding="utf-8")
    (tmp_path / "more.toml").write_text(BATCH.replace("how_many = 3", "how_many = 4"), encoding="utf-8")
    longpoint("rack put 2600 2300 2x3000 --section 21x44", tmp_path)
    assert longpoint("plan b.toml -o out --by-rule --unrehearsed --rack", tmp_path).returncode == 0
    before = [longpoint(line, tmp_path).stdout for line in ("book show 1", "rack list --json")]
    written = (tmp_path / "out" / "plan.json").read_bytes()

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(folder, "_replace", full)
    done = longpoint("plan more.toml -o out --by-rule --unrehearsed --rack", tmp_path)
    assert done.returncode == 2 and "no space left" in done.stderr
    assert [longpoint(line, tmp_path).stdout for line in ("book show 1", "rack list --json")] == before
    assert (tmp_path / "out" / "plan.json").read_bytes() == written and "standing" in before[0]
