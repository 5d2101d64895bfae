"""Where in a TOML text each key stands, so that a fault can name its line.

tomllib keeps no lines; this reads only headers and keys, after tomllib has accepted the text, so it may be
simple: it never decides what a value is.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

Path = tuple[str | int, ...]

_KEY = re.compile(
    r"""^\s*((?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*'))*)\s*="""
)
_HEADER = re.compile(r"^\s*(\[\[?)\s*([^\[\]]+?)\s*(\]\]?)\s*(?:#.*)?$")

_SIGN = re.compile(r"""\"{3}|'{3}|"(?:\\.|[^"\\])*"|'[^']*'|\#|[\[\]{}]""")
_TO_THE_END = {'"""': re.compile(r'(?:\\.|[^\\])*?"{3}'), "'''": re.compile(r".*?'{3}")}


def key_lines(text: str) -> dict[Path, int]:
    """Lines of all tables and keys of a valid TOML text.

    Args:
        text: A text that tomllib reads without error.

    Returns:
        Line, counted from 1, of each path; elements of arrays of tables are counted from 0.
    """
    lines: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    open_until = ""
    depth = 0
    for number, line in enumerate(text.split("\n"), start=1):
        if not open_until and depth == 0:
            header = _HEADER.match(line)
            if header is not None:
                table = _resolve(_parts(header[2]), counts, again=header[1] == "[[")
                lines.setdefault(table, number)
                continue
            key = _KEY.match(line)
            if key is not None:
                path = table
                for part in _parts(key[1]):
                    path = (*path, part)
                    lines.setdefault(path, number)
        open_until, depth = _read_on(line, open_until, depth)
    return lines


def _read_on(line: str, open_until: str, depth: int) -> tuple[str, int]:
    """The quotes that a text is open until, and how deep in brackets, at the end of a line."""
    at = 0
    while True:
        if open_until:
            end = _TO_THE_END[open_until].match(line, at)
            if end is None:
                return open_until, depth
            open_until, at = "", end.end()
        sign = _SIGN.search(line, at)
        if sign is None or sign[0] == "#":
            return "", depth
        at = sign.end()
        if sign[0] in _TO_THE_END:
            open_until = sign[0]
        elif sign[0] in "[{":
            depth += 1
        elif sign[0] in "]}":
            depth = max(0, depth - 1)


def line_of(path: Path, lines: Mapping[Path, int]) -> int | None:
    """The line of a path, or of the nearest thing around it."""
    for length in range(len(path), 0, -1):
        for found in (path[:length], (*path[:length], 0)):  # a table that repeats is known by its first
            if found in lines:
                return lines[found]
    return None


def written(path: Path) -> str:
    """A path as a person writes it: ``work[2].bars.depth``, elements counted from 1."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            text += f".{part}" if text else part
    return text


def path_of(key: str) -> Path:
    """The inverse of `written`."""
    path: list[str | int] = []
    for name, index in re.findall(r"([^.\[\]]+)|\[(\d+)\]", key):
        path.append(name if name else int(index) - 1)
    return tuple(path)


def _parts(dotted: str) -> list[str]:
    found: list[str] = re.findall(r"[A-Za-z0-9_-]+|\"[^\"]*\"|'[^']*'", dotted)
    return [part.strip("\"'") for part in found]


def _resolve(parts: list[str], counts: dict[Path, int], *, again: bool) -> Path:
    path: Path = ()
    for position, part in enumerate(parts):
        path = (*path, part)
        last = position == len(parts) - 1
        if last and again:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path
