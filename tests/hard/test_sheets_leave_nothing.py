"""The typesetter's work: nothing is left in the temporary folder, and readers have nothing to complain of."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

SET_AND_DIE = """
import os, signal, sys
from pathlib import Path
from longpoint.export.typeset.pdf import pdf_of
Path(sys.argv[1]).write_bytes(pdf_of("= Sheet"))
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.slow
def test_a_killed_run_leaves_no_fonts_and_its_sheet_reads_without_complaint(tmp_path: Path) -> None:
    temporary, sheet = tmp_path / "tmp", tmp_path / "sheet.pdf"
    temporary.mkdir()
    subprocess.run(
        [sys.executable, "-c", SET_AND_DIE, str(sheet)],
        env={**os.environ, "TMPDIR": str(temporary)},
        check=False,
    )
    assert sheet.read_bytes().startswith(b"%PDF")
    assert list(temporary.iterdir()) == []
    said = subprocess.run(["pdfinfo", str(sheet)], capture_output=True, text=True, check=True)
    assert said.stderr == ""
