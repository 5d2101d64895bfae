"""Ordinary small batches, designs computed, planned and printed, one line each: a long run that can be gone on with.

    nice -n 19 python tests/hunt/ordinary.py 0 500 --to out/ordinary.txt

A line: seed, seconds of processor, how it ended, sheets of the pack, codes of what was refused. Seeds that stand in the
file are not run again. Where something is not a printed plan, what was said stands behind it.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from hunt.batches import small_text


def line_of(seed: int) -> str:
    """Plans and prints one batch."""
    from longpoint.cli.plan import plan
    from longpoint.errors import FaultsError
    from longpoint.export.typeset.pdf import sheets_in

    begun = time.process_time()
    way, codes, words, sheets = "printed", "", "", 0
    with tempfile.TemporaryDirectory() as folder:
        file, out = Path(folder) / "batch.toml", Path(folder) / "out"
        file.write_text(small_text(seed), encoding="utf-8")
        try:
            with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
                plan(file, out, unrehearsed=True)
            pack = out / "pack.pdf"
            sheets = sheets_in(pack.read_bytes()) if pack.exists() else 0
            way = "printed" if sheets else "no pack"
        except FaultsError as error:
            way, codes = "refused", ",".join(sorted({fault.code for fault in error.faults}))
            words = " ".join(f"{fault.what} {fault.remedy}" for fault in error.faults)
        except Exception as error:  # whatever falls over is what is looked for
            way, codes, words = "fell over", type(error).__name__, str(error)
    return "\t".join((str(seed), f"{time.process_time() - begun:.1f}", way, str(sheets), codes, words[:400]))


def main() -> None:
    """Runs from the command line."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("first", type=int)
    asked.add_argument("count", type=int)
    asked.add_argument("--to", type=Path, required=True, help="file the lines are added to")
    given = asked.parse_args()
    done = set()
    if given.to.exists():
        done = {row.split("\t")[0] for row in given.to.read_text(encoding="utf-8").splitlines()}
    for seed in range(given.first, given.first + given.count):
        if str(seed) not in done:
            line = line_of(seed)
            with given.to.open("a", encoding="utf-8") as file:
                file.write(line.replace("\n", " ") + "\n")


if __name__ == "__main__":
    main()
