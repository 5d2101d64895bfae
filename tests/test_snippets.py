"""Every snippet of the pages is read, and every command on them is called, in the order of the page.

A fence says what it is by its language: ``toml`` a batch or a part of one, ``json`` a list, ``console`` commands after
``$ `` with what they answer below (``…`` stands for anything). The comment at its head, or above it, names the file it
stands for; ``<!-- events -->`` and ``<!-- order -->`` name other kinds of file, ``<!-- minutes -->`` commands whose
options alone are looked at. A fence that is none of this fails the test.
"""

from __future__ import annotations

import json
import re
import shlex
from dataclasses import dataclass
from pathlib import Path

import pytest
import typer.main

from cli.called import longpoint
from longpoint.cli.entry import app
from longpoint.cutting.boards.lists import parse_cut_list
from longpoint.cutting.lay.list import read_lay_list
from longpoint.errors import FaultsError
from longpoint.model.events import Events
from longpoint.model.order import OrderWish
from longpoint.model.reading import parse_batch, parse_stated

ROOT = Path(__file__).parents[1]
PAGES = sorted(
    page
    for page in [ROOT / "README.md", *(ROOT / "docs").rglob("*.md")]
    if not {"_build", "made"} & set(page.parts)
)
BASE = "".join(
    f'[[work]]\nname = "{name}"\nwidth = 1700\nheight = 1200\n'
    for name in ("North wall", "The ferry", "Reeds")
)
"""Works that parts of a batch speak of."""

QUIET = ("text", "bibtex")
OTHER_PROGRAMS = ("make", "openssl", "pip", "pipx", ".")
REFUSED = {"asked.toml": "which-unit", "faulty.toml": "not-toml"}
"""Files that pages show because they are refused."""


@dataclass(frozen=True)
class Fence:
    """A block of a page.

    Attributes:
        page: The page.
        line: Where it begins.
        kind: Its language.
        mark: What the comment above it says.
        text: What is in it.
    """

    page: Path
    line: int
    kind: str
    mark: str
    text: str

    @property
    def file(self) -> str:
        """The file it stands for; empty where it names none."""
        if self.mark.startswith("file: "):
            return self.mark.removeprefix("file: ")
        named = re.match(r"# (?:more for )?([\w-]+\.toml)\n", self.text)
        return named[1] if named else ""

    @property
    def adds(self) -> bool:
        """Whether it is put below what its file says already."""
        return self.text.startswith("# more for ")

    def __str__(self) -> str:
        return f"{self.page.name}:{self.line}"


def fences(page: Path) -> list[Fence]:
    """All blocks of a page but those that lay the page out."""
    text = page.read_text(encoding="utf-8")
    found = []
    for match in re.finditer(
        r"^(?:<!-- (.*?) -->\n)?```([^\n]*)\n(.*?)^```$", text, re.DOTALL | re.MULTILINE
    ):
        if not match[2].startswith("{"):
            line = text[: match.start(3)].count("\n")
            found.append(Fence(page, line, match[2], match[1] or "", match[3]))
    return found


ALL = [fence for page in PAGES for fence in fences(page)]
TOML = [fence for fence in ALL if fence.kind == "toml"]


def test_no_snippet_is_left_out() -> None:
    assert [str(fence) for fence in ALL if fence.kind not in ("toml", "json", "console", "", *QUIET)] == []
    assert [
        str(fence)
        for fence in ALL
        if fence.kind == "" and "longpoint " in fence.text.replace("/longpoint", "")
    ] == []
    for page in PAGES:
        bare = re.sub(r"^```.*?^```$", "", page.read_text(encoding="utf-8"), flags=re.DOTALL | re.MULTILINE)
        assert re.findall(r"^ {4}(?:\$ )?longpoint .*", bare, re.MULTILINE) == [], page.name
    kinds = {kind: sum(fence.kind == kind for fence in ALL) for kind in ("toml", "console", "json")}
    assert kinds["toml"] > 20
    assert kinds["console"] > 20


@pytest.mark.parametrize("fence", TOML, ids=str)
def test_a_toml_snippet_is_read(fence: Fence) -> None:
    if fence.mark == "events" or fence.file in ("events.toml", "next.toml"):
        parse_stated(Events, fence.text)
        return
    if fence.mark == "order":
        parse_stated(OrderWish, fence.text)
        return
    text = fence.text
    if fence.adds:
        text = "".join(other.text for other in TOML if other.page == fence.page and other.file == fence.file)
    elif "[[work]]" not in text:
        text = BASE + text if text.lstrip("# \n").startswith("[") else text + BASE
    if "order = " in text:
        text = text.replace('order = "north-wall.toml"', 'order = "pinwheel"')
    if fence.file in REFUSED:
        with pytest.raises(FaultsError) as caught:
            parse_batch(text)
        assert [fault.code for fault in caught.value.faults] == [REFUSED[fence.file]]
        return
    parse_batch(text)


@pytest.mark.parametrize("fence", [fence for fence in ALL if fence.kind == "json"], ids=str)
def test_a_list_is_read(fence: Fence) -> None:
    if "roll_width" in (stated := json.loads(fence.text)):
        read_lay_list(stated)
    else:
        parse_cut_list(fence.text)


def commands(fence: Fence) -> list[tuple[str, list[str]]]:
    """Each command of a block with the lines below it."""
    found: list[tuple[str, list[str]]] = []
    for line in fence.text.splitlines():
        if line.startswith("$ "):
            found.append((line.removeprefix("$ "), []))
        elif found:
            found[-1][1].append(line)
        else:
            pytest.fail(f"{fence}: a console block begins with a command after '$ '")
    return found


CONSOLE = [fence for fence in ALL if fence.kind == "console"]


@pytest.mark.parametrize("fence", CONSOLE, ids=str)
def test_every_option_of_a_command_is_known(fence: Fence) -> None:
    group = typer.main.get_command(app)
    targets = re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(), re.MULTILINE)
    for words, _ in commands(fence):
        head, *rest = shlex.split(words.split("  #")[0])
        if head == "make":
            assert rest[0] in targets, words
        if head != "longpoint":
            assert head in OTHER_PROGRAMS or head.endswith("/longpoint"), words
        elif rest[0].startswith("--"):
            assert rest[0] in ("--version", "--help", "--install-completion"), words
        else:
            group.commands[rest[0]].make_context(rest[0], rest[1:])  # type: ignore[attr-defined]


TOLD = sorted({fence.page for fence in CONSOLE if "$ longpoint " in fence.text and fence.mark != "minutes"})


@pytest.mark.slow
@pytest.mark.parametrize("page", TOLD, ids=lambda page: page.name)
def test_a_page_is_followed_from_top_to_bottom(page: Path, tmp_path: Path) -> None:
    for fence in fences(page):
        if fence.kind in ("toml", "json") and fence.file:
            with (tmp_path / fence.file).open("a" if fence.adds else "w", encoding="utf-8") as file:
                file.write(fence.text)
        if fence.kind != "console" or fence.mark == "minutes":
            continue
        for words, expected in commands(fence):
            head, *rest = shlex.split(words)
            if head != "longpoint":
                continue
            done = longpoint(*rest, cwd=tmp_path)
            refused = any(name in words for name in REFUSED)
            missed = rest[0] == "check" and "Does not hold" in done.stdout
            assert done.returncode == (2 if refused else 1 if missed else 0), (
                f"{fence}: {words}\n{done.stderr}"
            )
            _stands_there(f"{fence}: {words}", expected, done.stderr if refused else done.stdout)


def _stands_there(what: str, expected: list[str], said: str) -> None:
    """Each line of the page in its order, whatever stands for ``…``."""
    lines = [" ".join(line.split()) for line in said.splitlines()]
    at = 0
    for line in expected:
        want = " ".join(line.split())
        if want in ("", "…"):
            continue
        pattern = re.compile(".*".join(re.escape(part) for part in want.split("…")))
        found = next((k for k in range(at, len(lines)) if pattern.fullmatch(lines[k])), None)
        assert found is not None, f"{what}\ndoes not answer: {want}\nbut:\n{said}"
        at = found + 1
