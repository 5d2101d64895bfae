"""The command line as a user meets it: exit codes, messages, files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli.called import longpoint

FIVE_LINES = 'unit = "mm"\n[[work]]\nname = "First work"\nwidth = 500\nheight = 400\n'


@pytest.mark.slow
def test_a_batch_is_planned_beside_itself_and_other_files_there_are_left_alone(tmp_path: Path) -> None:
    (tmp_path / "show.toml").write_text(FIVE_LINES)
    out = tmp_path / "show"
    (out / "drawings").mkdir(parents=True)
    (out / "drawings" / "my-sketch.svg").write_text("a sketch")
    (out / "mine.txt").write_text("mine")
    done = longpoint("plan", "show.toml", "--by-rule", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "1 work" in done.stdout and "show/pack.pdf" in done.stdout
    assert (out / "pack.pdf").read_bytes()[:5] == b"%PDF-"
    assert json.loads((out / "plan.json").read_text())["format"] == "longpoint plan"
    (tmp_path / "show.toml").write_text(FIVE_LINES.replace("First", "Other"))
    again = longpoint("plan", "show.toml", "-o", "show", "--by-rule", cwd=tmp_path)
    assert again.returncode == 0, again.stderr
    assert (out / "drawings" / "A-other-work.dxf").exists()
    assert not (out / "drawings" / "A-first-work.dxf").exists()
    assert (out / "mine.txt").read_text() == "mine"
    assert (out / "drawings" / "my-sketch.svg").read_text() == "a sketch"
    assert {path.name for path in tmp_path.iterdir()} == {"show.toml", "show"}


@pytest.mark.slow
def test_a_faulty_batch_writes_nothing_and_says_everything(tmp_path: Path) -> None:
    (tmp_path / "batch.toml").write_text('colour = 1\n[[work]]\nname = "a"\nwidth = "2x4"\nheight = -1\n')
    done = longpoint("plan", "batch.toml", "-o", "out", cwd=tmp_path)
    assert done.returncode == 2
    assert "3 things stand against it" in done.stderr
    assert "line 1" in done.stderr and "line 4" in done.stderr and "line 5" in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("plan", "none.toml", "-o", "out"), "cannot be read"),
        (("plan", "batch.toml", "-o", "batch.toml"), "is a file, not a folder"),
        (("plan", "batch.toml", "-o", ""), "no folder is named"),
        (("plan",), "Missing argument"),
        (("mow",), "No such command"),
        (("new", "batch.toml"), "is there already"),
        (("plan", "batch.toml", "-o", "out", "--paper", "foolscap"), "foolscap"),
        (("cut", "batch.toml"), "batch.toml"),
        (
            ("plan", "none.toml", "-o", "batch.toml", "--paper", "A7", "--measured", "3"),
            "4 things stand against it",
        ),
        (
            ("plan", "batch.toml", "-o", "out", "--measured", "100 mm, 180 mm"),
            "check bar across measures 100 mm",
        ),
        (("check", "batch.toml", "--work", "No", "--work", "Such"), "2 things stand against it"),
        (
            ("rehearse", "batch.toml", "--work", "No", "--tension", "nan", "-o", "batch.toml"),
            "3 things stand",
        ),
        (("replan", "batch.toml", "none.toml", "-o", "batch.toml"), "3 things stand against it"),
        (("replan", "--starter", "batch.toml"), "is there already"),
        (
            ("wind", "--width", "0", "--height", "x", "--lift", "-3", "--glue", "wet"),
            "4 things stand against it",
        ),
        (
            ("press", "batch.toml", "--work", "No", "--width", "3", "--mass", "-1"),
            "4 things stand against it",
        ),
        (("press", "--width", "0", "--height", "700", "--tension", "1e9"), "2 things stand against it"),
        (("lay", "batch.toml"), "batch.toml, line 1: The file is not JSON"),
        (("square", "--bottom", "2x4", "--left", "1", "--rising", "1", "--falling", "1"), "2x4"),
    ],
    ids=lambda value: "-".join(value) if isinstance(value, tuple) else None,
)
def test_a_wrong_call_gets_one_clear_message(tmp_path: Path, words: tuple[str, ...], said: str) -> None:
    (tmp_path / "batch.toml").write_text(FIVE_LINES)
    done = longpoint(*words, cwd=tmp_path)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
    assert (tmp_path / "batch.toml").read_text() == FIVE_LINES
    assert not (tmp_path / "out").exists()


def test_a_starter_file_is_written_once(tmp_path: Path) -> None:
    done = longpoint("new", "first.toml", cwd=tmp_path)
    assert done.returncode == 0
    assert "[[work]]" in (tmp_path / "first.toml").read_text()


@pytest.mark.slow
def test_a_list_of_lengths_is_cut_with_its_bound(tmp_path: Path) -> None:
    wanted = {
        "unit": "mm",
        "kerf": 3.2,
        "end_trim": 0,
        "at_hand": [{"name": "A", "length": 2400, "price": 2400, "how_many": None}],
        "wanted": [{"name": "p1", "length": 675, "how_many": 4}],
    }
    (tmp_path / "list.json").write_text(json.dumps(wanted))
    done = longpoint("cut", "list.json", "--json", cwd=tmp_path)
    answer = json.loads(done.stdout)
    # Three parts of 675 and their kerfs fit on 2400, four do not.
    assert answer["cost"] == 4800 and answer["at_least"] == 4800 and answer["proven"] is True
    assert sorted(len(board["parts"]) for board in answer["boards"]) in ([1, 3], [2, 2])
    for board in answer["boards"]:
        used = len(board["parts"]) * 675
        assert board["remains"] == pytest.approx(2400 - used - len(board["parts"]) * 3.2)


@pytest.mark.slow
def test_rectangles_are_laid_on_a_roll(tmp_path: Path) -> None:
    wanted = {
        "unit": "mm",
        "roll_width": 2100,
        "spacing": 0,
        "wanted": [{"name": "s1", "across": 1360, "along": 960, "how_many": 2, "may_turn": True}],
    }
    (tmp_path / "list.json").write_text(json.dumps(wanted))
    answer = json.loads(longpoint("lay", "list.json", "--json", cwd=tmp_path).stdout)
    assert answer["length"] == 1360 and answer["proven"] is True  # both turned, side by side: 2 × 960 ≤ 2100
    assert {place["name"] for place in answer["placed"]} == {"s1"}


@pytest.mark.slow
def test_what_cannot_be_had_prints_no_plan(tmp_path: Path) -> None:
    (tmp_path / "list.json").write_text(
        '{"unit": "mm", "roll_width": 800, "wanted": [{"name": "s1", "across": 1360, "along": 960, "how_many": 1}]}'
    )
    done = longpoint("lay", "list.json", "--json", cwd=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert "s1" in done.stderr
