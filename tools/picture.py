"""The picture in the README: sheets of the example batch side by side, made anew from a pack.

Run by ``make pictures``: ``python tools/picture.py PACK.pdf PICTURE.png PAGE PAGE PAGE PAGE``.
"""

from __future__ import annotations

import sys
from pathlib import Path

import typst


def main(pack: Path, picture: Path, pages: list[int]) -> None:
    """Lays pages of a pack side by side on one picture.

    Args:
        pack: The pack.
        picture: Where the picture goes.
        pages: Page numbers, from 1.
    """
    shown = ", ".join(
        f'box(stroke: 0.4pt + luma(60%), image("{pack.name}", page: {page}, width: 62mm))' for page in pages
    )
    source = (
        "#set page(width: auto, height: auto, margin: 3mm, fill: luma(92%))\n"
        f"#grid(columns: {len(pages)}, gutter: 4mm, {shown})\n"
    )
    beside = pack.with_suffix(".picture.typ")
    beside.write_text(source, encoding="utf-8")
    try:
        made = typst.compile(str(beside), format="png", ppi=110.0)
    finally:
        beside.unlink()
    picture.write_bytes(made if isinstance(made, bytes) else made[0])


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), [int(text) for text in sys.argv[3:]])
