"""Batches side by side on the command line, and an offer that nothing has a price for."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli.called import longpoint

BATCH = '[[work]]\nname = "Reeds"\nwidth = 500\nheight = 400\nhow_many = {count}\n'


@pytest.mark.slow
def test_two_batches_stand_side_by_side_and_nothing_is_written(tmp_path: Path) -> None:
    for count in (1, 10):
        (tmp_path / f"made-{count}.toml").write_text(BATCH.format(count=count))
    done = longpoint("compare", "made-1.toml", "made-10.toml", "--by-rule", "--json", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    one, ten = json.loads(done.stdout)["batches"]
    assert (one["name"], one["pieces"], ten["pieces"]) == ("made-1", 1, 10)
    assert ten["mass"] == pytest.approx(10 * one["mass"], rel=1e-3)
    assert ten["works"][0]["hours"] < one["works"][0]["hours"]
    assert len(list(tmp_path.iterdir())) == 2


def test_one_batch_is_not_compared_and_faults_of_all_files_are_said(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(BATCH.format(count=1))
    (tmp_path / "b.toml").write_text(BATCH.format(count=0))
    alone = longpoint("compare", "a.toml", cwd=tmp_path)
    assert alone.returncode == 2
    assert "Name two to 5 batch files" in alone.stderr
    both = longpoint("compare", "a.toml", "b.toml", "none.toml", cwd=tmp_path)
    assert both.returncode == 2
    assert "b.toml, line 5" in both.stderr
    assert "none.toml cannot be read" in both.stderr


def test_an_offer_without_a_price_is_refused_before_anything_is_planned(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(BATCH.format(count=1))
    done = longpoint("plan", "a.toml", "--offer", cwd=tmp_path)
    assert done.returncode == 2
    assert "nothing in the file has a price" in done.stderr
    assert not (tmp_path / "a").exists()
