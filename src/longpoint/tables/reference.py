"""The tables as a page to read, made from the same files the engine reads."""

from __future__ import annotations

from collections import Counter

from longpoint.tables.reading import TABLES, Tag, table

_OPENING = """# Tables

Every published value the engine uses, with its source. This page is made from the tables themselves
(`src/longpoint/tables/published`); change a value there, never here.

How far a value can be trusted:

| mark | how sure |
| --- | --- |
| ● read | read in the source named |
| ◐ transcribed | read in somebody's copy of it, which the row names |
| = computed | follows from other values |
| ○ from memory | not looked up; a default that you may change, not a citation |
| ≈ estimate | engineering judgement |
| ~ common practice | what people do; no published source |
"""

_MARKS = {
    Tag.READ: "●",
    Tag.TRANSCRIBED: "◐",
    Tag.COMPUTED: "=",
    Tag.MEMORY: "○",
    Tag.ESTIMATE: "≈",
    Tag.PRACTICE: "~",
}
"""Before each row, so that the eye finds them."""


def tables_page() -> str:
    """The reference page of all tables.

    Returns:
        Markdown, ending in a newline.
    """
    return "\n".join([_OPENING, _how_many(), *(_one_table(name) for name in TABLES)]).rstrip() + "\n"


def _how_many() -> str:
    counts = {
        name: Counter(row["tag"] for found in table(name)["data"].values() for row in found)
        for name in TABLES
    }
    rows = [[table(name)["title"], *(str(counts[name][tag]) for tag in Tag)] for name in TABLES]
    sums = ["all", *(str(sum(counts[name][tag] for name in TABLES)) for tag in Tag)]
    head = ["rows of", *(f"{_MARKS[tag]} {tag}" for tag in Tag)]
    lines = [_row(cells) for cells in (head, ["---"] * len(head), *rows, sums)]
    return "\n".join(["How many rows of each kind there are:\n", *lines, ""])


def _one_table(name: str) -> str:
    whole = table(name)
    bits = [f"## {whole['title']}\n", f"{' '.join(whole['about'].split())}\n"]
    for part, found in whole["data"].items():
        columns: dict[str, str] = whole["columns"][part]
        bits.append(f"### {part.replace('_', ' ').capitalize()}\n")
        bits.append(_row([*columns.values(), "source", "how sure"]))
        bits.append(_row(["---"] * (len(columns) + 2)))
        for row in found:
            cells = [_cell(row.get(column, "")) for column in columns]
            bits.append(_row([*cells, row["source"], f"{_MARKS[Tag(row['tag'])]} {row['tag']}"]))
        bits.append("")
    return "\n".join(bits)


def _row(cells: list[str]) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _cell(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, list):
        return ", ".join(_cell(each) for each in value)
    return str(value)
