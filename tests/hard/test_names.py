"""Names that mean something elsewhere, through every file of a plan: they stay names."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from pathlib import PurePosixPath
from xml.etree import ElementTree

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.errors import FaultsError
from longpoint.export.results import result_files
from longpoint.jobs.plan import plan_batch
from longpoint.model.reading import parse_batch

NAMES = (
    '<b>&"x"</b>]]><!--',
    "=1+cmd|' /C calc'!A0",
    "-2+3",
    "@sum(1)",
    "../../etc/passwd",
    "C:\\nul",
    "0123",
    '#import "x" $a$ *b* _c_',
    "\N{ARTIST PALETTE}\N{ARABIC LETTER ALEF}",
    "%s {0} \\n",
)
REFUSED = ("", "   ", "a\x00b", "a\x1b[31m", "a\u202eb", "two\nlines", "n" * 10_000)


def batch_of(*names: str) -> str:
    return "".join(
        f"[[work]]\nname = {json.dumps(name, ensure_ascii=False)}\nwidth = {400 + 10 * number}\nheight = 300\n"
        for number, name in enumerate(names)
    )


@pytest.mark.slow
def test_names_stay_names_in_every_file() -> None:
    plan = plan_batch(parse_batch(batch_of(*NAMES)), choose=design_of)
    files = dict(result_files(plan))
    for path, contents in files.items():
        place = PurePosixPath(path)
        assert ".." not in place.parts and not place.is_absolute() and "\\" not in path
        if path.endswith(".svg"):
            ElementTree.fromstring(contents)
        elif path.endswith(".dxf"):
            lines = contents.decode().splitlines()
            assert lines[-1] == "EOF" and len(lines) % 2 == 0
        elif path.endswith(".csv"):
            for row in csv.reader(io.StringIO(contents.decode("utf-8-sig"))):
                assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in row), row
        elif path.endswith(".xlsx"):
            with zipfile.ZipFile(io.BytesIO(contents)) as book:
                for name in book.namelist():
                    if name.startswith("xl/worksheets/") and name.endswith(".xml"):
                        tags = {
                            node.tag.rpartition("}")[2]
                            for node in ElementTree.fromstring(book.read(name)).iter()
                        }
                        assert "f" not in tags
        elif path.endswith(".pdf"):
            assert contents.startswith(b"%PDF")
    document = json.loads(files["plan.json"])
    assert [work["name"] for work in document["works"]] == list(NAMES)


@pytest.mark.parametrize("name", REFUSED)
def test_names_that_no_sheet_can_carry_are_refused_in_few_words(name: str) -> None:
    with pytest.raises(FaultsError) as found:
        parse_batch(batch_of(name))
    said = str(found.value)
    assert "work[1].name" in said and len(said) < 2_000
    assert not any(sign in said for sign in "\x00\x1b\u202e")
