"""Pictures for the documentation: every sheet of the tutorial's batch, made anew when the program has changed.

Run by the build of the documentation, or ``python tools/docs_pictures.py``. Nothing of it is kept in the repository.
"""

from __future__ import annotations

import hashlib
import re
import shutil
import subprocess
import sys
from pathlib import Path

import typst
from pypdf import PdfReader

ROOT = Path(__file__).parents[1]
MADE = ROOT / "docs" / "made"
WIDTH = 900
"""Of a picture. [dots]"""

NAMED = {
    "start": ("pack", "Boards to buy"),
    "days": ("pack", "What waits for what"),
    "yard": ("pack", "Clear run"),
    "cards": ("pack", "paste on card"),
    "stops": ("pack", "SWING LEFT"),
    "build": ("pack", "like the page of a book"),
    "work": ("pack", "Checks, glue open"),
    "lay": ("pack", "Cuts in order"),
    "stapling": ("pack", "Runs of each work"),
    "press": ("pack", "Figures of each work"),
    "hanging": ("pack", "Masses are estimates"),
    "limits": ("reasons", "The value that is likely"),
}
"""Sheets that pages show by name: the document and words that stand on them."""


def batch_text() -> str:
    """The batch of the tutorial, as it stands there when it is planned."""
    page = (ROOT / "docs" / "tutorial.md").read_text(encoding="utf-8")
    found = re.findall(r"```toml\n# first\.toml\n(.*?)```", page, re.DOTALL)
    return found[-1]


def stamp() -> str:
    """What the pictures hang on: the batch, the program and this file."""
    seen = hashlib.sha256(batch_text().encode())
    for path in sorted([*(ROOT / "src").rglob("*"), Path(__file__)]):
        if path.suffix in (".py", ".toml", ".typ"):
            seen.update(path.read_bytes())
    return seen.hexdigest()


def main() -> None:
    """Plans the batch and draws each sheet, unless that has been done for this very program."""
    mark = MADE / "stamp"
    if mark.exists() and mark.read_text() == stamp():
        return
    shutil.rmtree(MADE, ignore_errors=True)
    MADE.mkdir(parents=True)
    batch = MADE / "first.toml"
    batch.write_text(batch_text(), encoding="utf-8")
    program = "from longpoint.cli import main; main()"
    call = [sys.executable, "-c", program, "plan", str(batch), "-o", str(MADE / "out")]
    subprocess.run(call, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    words = {name: _pictures(name) for name in ("pack", "reasons")}
    for name, (document, sign) in NAMED.items():
        found = [number for number, text in enumerate(words[document], 1) if sign in text]
        if not found:
            raise SystemExit(
                f"docs pictures: no sheet of {document}.pdf says {sign!r}; see tools/docs_pictures.py"
            )
        shutil.copyfile(MADE / f"{document}-{found[0]:02}.png", MADE / f"{name}.png")
    shutil.rmtree(MADE / "out")
    mark.write_text(stamp())


def _pictures(name: str) -> list[str]:
    """Draws each sheet of a document, writes the list that shows them, and returns their words."""
    pdf = MADE / "out" / f"{name}.pdf"
    texts = [page.extract_text() for page in PdfReader(pdf).pages]
    source = "#set page(width: auto, height: auto, margin: 0mm)\n" + "".join(
        f'#page(image("{pdf.name}", page: {number}, width: 210mm))\n' for number in range(1, len(texts) + 1)
    )
    drawn = pdf.with_suffix(".typ")
    drawn.write_text(source, encoding="utf-8")
    made = typst.compile(str(drawn), format="png", ppi=WIDTH / 210 * 25.4)
    lines = []
    for number, (png, text) in enumerate(
        zip([made] if isinstance(made, bytes) else made, texts, strict=True), 1
    ):
        picture = MADE / f"{name}-{number:02}.png"
        picture.write_bytes(png)
        head = next(line for line in text.splitlines() if line.strip())
        lines += [
            f":::{{figure}} /made/{picture.name}",
            f":alt: Sheet {number} of {name}.pdf",
            f":target: _images/{picture.name}",
            "",
            f"{number}: {head.strip().capitalize() if head.isupper() else head.strip()}",
            ":::",
            "",
        ]
    (MADE / f"{name}.md").write_text("\n".join(lines), encoding="utf-8")
    return texts


if __name__ == "__main__":
    main()
