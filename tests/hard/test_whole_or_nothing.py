"""Results on disk under kills: a reader finds one whole plan at every moment, and no file of anybody's is lost.

A child writes a second plan over a first and is killed at its n-th step on the file system, for every n; the parent
looks at what is there, then writes a third plan and looks for leftovers.
"""

from __future__ import annotations

import errno
import json
import os
import signal
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from longpoint.cli import folder as folder_room
from longpoint.cli.exchange import CannotExchangeError
from longpoint.cli.folder import PLANNED, check_folder, write_folder
from longpoint.errors import FaultsError
from longpoint.export.manifest import manifest_of

FOREIGN = {
    "drawings/my-sketch.svg": b"a sketch",
    "tables/clients.csv": b"who, when",
    "notes/deep/er.txt": b"notes",
    "batch.toml": b"[[work]]",
}
STEPS = ("os.", "open", "shutil.", "ctypes.dlsym", "tempfile.")


def files_of(number: int) -> Iterator[tuple[str, bytes]]:
    """Results of a plan; some names in common, some of their own."""
    files = {
        "pack.pdf": b"%PDF same in all",
        "tables/parts.csv": b"parts %d" % number,
        f"drawings/A-work-{number}.svg": b"<svg/>",
        "drawings/parts/a1.dxf": b"dxf %d" % number,
        f"drawings/sheets/001-start-01-{number}.svg": b"sheet %d" % number,
    }
    yield from files.items()
    rows = [row.model_dump() for row in manifest_of(files.items())]
    yield "plan.json", json.dumps({"format": "longpoint plan", "number": number, "files": rows}).encode()


def plan_in(out: Path) -> int | None:
    """Number of the plan that a reader finds whole; None where there is none at all.

    Raises:
        AssertionError: If it is neither.
    """
    try:
        document = json.loads((out / "plan.json").read_bytes())
    except FileNotFoundError:
        return None
    number = document["number"]
    for path, contents in files_of(number):
        assert (out / path).read_bytes() == contents, path
    return int(number)


def foreign_in(out: Path) -> dict[str, bytes]:
    return {path: (out / path).read_bytes() for path in FOREIGN if (out / path).exists()}


def everything(top: Path) -> set[str]:
    return {path.relative_to(top).as_posix() for path in top.rglob("*") if path.is_file()}


def killed_at(step: int, work: Callable[[], None]) -> bool:
    """Runs work in a child that is killed at its step on the file system; whether it came that far."""
    child = os.fork()
    if child == 0:  # pragma: no cover
        count = 0

        def count_down(event: str, _arguments: Any) -> None:
            nonlocal count
            if event.startswith(STEPS):
                count += 1
                if count == step:
                    os.kill(os.getpid(), signal.SIGKILL)

        try:
            sys.addaudithook(count_down)
            work()
            os._exit(0)
        finally:
            os._exit(1)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 0
    return os.WIFSIGNALED(status)


def beside(_out: Path) -> None:
    """Nothing hinders the exchange."""


def standing_in_it(out: Path) -> None:
    os.chdir(out)


def too_many(_out: Path) -> None:
    folder_room.MOST_LINKED = 0


def no_exchange(_out: Path) -> None:
    def refused(_one: Path, _other: Path) -> None:
        raise CannotExchangeError(22, "not here")

    folder_room.exchange = refused  # type: ignore[assignment]


@pytest.mark.parametrize(
    ("hindrance", "always_whole", "stride"),
    [(beside, True, 1), (standing_in_it, False, 3), (too_many, False, 7), (no_exchange, False, 7)],
)
@pytest.mark.slow
def test_killed_at_every_step_of_a_second_plan(
    tmp_path: Path, hindrance: Callable[[Path], None], always_whole: bool, stride: int
) -> None:
    step, seen = 0, set()
    while True:
        step += stride
        out = tmp_path / f"{step}" / "out"
        write_folder(out, PLANNED, files_of(1))
        for path, contents in FOREIGN.items():
            (out / path).parent.mkdir(parents=True, exist_ok=True)
            (out / path).write_bytes(contents)

        def second(out: Path = out) -> None:
            hindrance(out)
            check_folder(out, PLANNED)
            write_folder(out, PLANNED, files_of(2))

        killed = killed_at(step, second)
        found = plan_in(out)
        seen.add(found)
        assert found is not None or not always_whole
        assert foreign_in(out) == FOREIGN
        check_folder(out, PLANNED)
        assert plan_in(out) in (1, 2)
        if not killed:
            assert found == 2
        write_folder(out, PLANNED, files_of(3))
        expected = {f"out/{path}" for path in (*FOREIGN, *dict(files_of(3)))}
        assert everything(out.parent) == expected
        assert [path.name for path in out.parent.iterdir()] == ["out"]
        assert plan_in(out) == 3
        if not killed:
            break
    assert step > 40
    assert seen == ({1, 2} if always_whole else {1, 2, None}), step


@pytest.mark.slow
def test_killed_at_every_step_of_a_first_plan(tmp_path: Path) -> None:
    step, killed = 0, True
    while killed:
        step += 1
        out = tmp_path / f"{step}" / "deep" / "out"

        def first(out: Path = out) -> None:
            write_folder(out, PLANNED, files_of(2))

        killed = killed_at(step, first)
        assert plan_in(out) == 2 if out.exists() else killed
        check_folder(out, PLANNED)
        write_folder(out, PLANNED, files_of(3))
        assert everything(out.parent) == {f"out/{path}" for path, _ in files_of(3)}
    assert step > 20


@pytest.mark.slow
def test_a_kill_while_a_kill_is_put_right_loses_nothing(tmp_path: Path) -> None:
    for first in range(31, 90, 22):
        step, killed = 0, True
        while killed:
            step += 5
            out = tmp_path / f"{first}-{step}" / "out"
            write_folder(out, PLANNED, files_of(1))
            (out / "mine.txt").write_bytes(b"mine")

            def second(out: Path = out) -> None:
                standing_in_it(out)
                write_folder(out, PLANNED, files_of(2))

            def again(out: Path = out) -> None:
                check_folder(out, PLANNED)

            killed_at(first, second)
            killed = killed_at(step, again)
            check_folder(out, PLANNED)
            assert plan_in(out) in (1, 2)
            assert (out / "mine.txt").read_bytes() == b"mine"


def test_a_disk_that_fills_while_it_is_written_out_leaves_the_old_plan(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    write_folder(out, PLANNED, files_of(1))

    def full(_folder: Path) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(folder_room, "onto_disk", full)
    with pytest.raises(FaultsError, match="no space left on device"):
        write_folder(out, PLANNED, files_of(2))
    assert plan_in(out) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


@pytest.mark.parametrize(
    "path", ["drawings/A-work.svg", "drawings/sheets/004-saw-01-x.svg", "pack.pdf", "plan.json", "tables"]
)
def test_what_is_not_ours_is_never_replaced(tmp_path: Path, path: str) -> None:
    (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
    (tmp_path / path).write_bytes(b"mine")
    with pytest.raises(FaultsError, match="longpoint did not write it"):
        check_folder(tmp_path, PLANNED)
    with pytest.raises(FaultsError, match="longpoint did not write it"):
        write_folder(tmp_path, PLANNED, files_of(1))
    assert everything(tmp_path) == {path}


@pytest.mark.parametrize("path", ["plan.json", "pack.pdf", "drawings/A-work.svg"])
def test_a_folder_in_the_place_of_a_file_is_refused_before_anything_is_written(
    tmp_path: Path, path: str
) -> None:
    (tmp_path / path).mkdir(parents=True)
    with pytest.raises(FaultsError, match="longpoint did not write it"):
        check_folder(tmp_path, PLANNED)
    with pytest.raises(FaultsError, match="longpoint did not write it"):
        write_folder(tmp_path, PLANNED, files_of(1))
    assert everything(tmp_path) == set()


def test_a_result_that_was_changed_since_is_somebodys(tmp_path: Path) -> None:
    write_folder(tmp_path / "out", PLANNED, files_of(1))
    (tmp_path / "out" / "drawings" / "A-work-1.svg").write_bytes(b"with my notes")
    with pytest.raises(FaultsError, match=r"A-work-1\.svg was changed since"):
        check_folder(tmp_path / "out", PLANNED)


@pytest.mark.parametrize("link", ["drawings", "pack.pdf", "plan.json"])
def test_links_are_not_followed(tmp_path: Path, link: str) -> None:
    out, elsewhere = tmp_path / "out", tmp_path / "elsewhere"
    write_folder(elsewhere, PLANNED, files_of(1))
    out.mkdir()
    (out / link).symlink_to(elsewhere / link)
    with pytest.raises(FaultsError, match="longpoint did not write it"):
        write_folder(out, PLANNED, files_of(2))
    assert plan_in(elsewhere) == 1


def test_a_ledger_cannot_point_outside_its_folder(tmp_path: Path) -> None:
    victim = tmp_path / "victim.txt"
    victim.write_bytes(b"mine")
    rows = [row.model_dump() for row in manifest_of([("../victim.txt", b"mine"), (str(victim), b"mine")])]
    out = tmp_path / "out"
    out.mkdir()
    (out / "plan.json").write_text(json.dumps({"format": "longpoint plan", "files": rows}))
    write_folder(out, PLANNED, files_of(1))
    assert victim.read_bytes() == b"mine" and plan_in(out) == 1


def test_a_hidden_folder_of_somebody_else_stays(tmp_path: Path) -> None:
    out = tmp_path / "out"
    for hidden in (out / ".longpoint-notes", tmp_path / ".out.longpoint-notes"):
        hidden.mkdir(parents=True)
        (hidden / "mine.txt").write_bytes(b"mine")
    check_folder(out, PLANNED)
    write_folder(out, PLANNED, files_of(1))
    assert (tmp_path / ".out.longpoint-notes" / "mine.txt").exists()
    assert (out / ".longpoint-notes" / "mine.txt").exists()


def test_two_runs_into_one_folder_leave_one_whole_plan(tmp_path: Path) -> None:
    out = tmp_path / "out"
    for _ in range(10):
        children = []
        for number in (1, 2, 3):
            child = os.fork()
            if child == 0:  # pragma: no cover
                try:
                    write_folder(out, PLANNED, files_of(number))
                    os._exit(0)
                finally:
                    os._exit(1)
            children.append(child)
        assert [os.waitpid(child, 0)[1] for child in children] == [0, 0, 0]
        assert plan_in(out) in (1, 2, 3)
        assert [path.name for path in tmp_path.iterdir()] == ["out"]
