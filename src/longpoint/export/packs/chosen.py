"""Some sheets of a pack: of one work, of one kind, or a handout for one person."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from longpoint.drawing.paper.pages import Pack
from longpoint.errors import Fault, FaultsError

KINDS: dict[str, tuple[str, ...]] = {
    "start": ("start",),
    "days": ("days", "tools"),
    "yard": ("yard", "buying"),
    "saw": ("bevel", "cards", "saw-stops", "saw-boards"),
    "build": ("joints", "build-card"),
    "work": ("work", "set-out", "check"),
    "cloth": ("cloth",),
    "staple": ("canvas-ready", "corner", "corner-cut", "stapling"),
    "finish": ("canvas-after",),
    "wall": ("labels", "leave", "hanging", "packing"),
    "money": ("cost",),
}
"""Kinds of sheet by the word they are asked for with, in the order of the work."""

_HANDOUT = ("days", "build", "work", "staple", "finish")
"""What one person of a class needs."""


def chosen(pack: Pack, wanted: Sequence[str]) -> Pack:
    """The sheets that are asked for by kind or by work.

    Args:
        pack: The whole pack.
        wanted: Words of `KINDS` and names of works; () for the whole pack. Kinds alone give those of all works, works
            alone give all sheets about them, both together the kinds of those works.

    Raises:
        FaultsError: If a word is neither.
    """
    if not wanted:
        return pack
    check_wanted(wanted, {name for page in pack.pages for name in page.about})
    kinds = [word for word in wanted if word in KINDS]
    names = [word for word in wanted if word not in KINDS]
    keys = {key for kind in kinds for key in KINDS[kind]} or {key for each in KINDS.values() for key in each}
    return replace(
        pack,
        pages=tuple(
            page
            for page in pack.pages
            if page.key in keys
            and (
                not names
                or (bool(set(page.about) & set(names)) if page.key in KINDS["work"] else bool(kinds))
            )
        ),
    )


def handout(pack: Pack, person: str, wanted: Sequence[str] = ()) -> Pack:
    """The sheets of one person of a class: the works and how they are built, stapled and primed.

    Args:
        pack: The whole pack.
        person: Their name; it stands on every sheet.
        wanted: Names of their works; () for all.
    """
    names = [word for word in wanted if word not in KINDS]
    some = chosen(pack, [*_HANDOUT, *names])
    return replace(some, title=f"{person} · {pack.title}")


def check_wanted(wanted: Iterable[str], works: Iterable[str]) -> None:
    """Refuses words that are neither a kind of sheet nor a work.

    Raises:
        FaultsError: With all of them.
    """
    known = dict.fromkeys(works)
    faults = [
        Fault(
            "unknown-sheet",
            f"There is no kind of sheet and no work called {word!r}.",
            f"Kinds of sheet are {', '.join(KINDS)}; works are {', '.join(known)}.",
        )
        for word in wanted
        if word not in KINDS and word not in known
    ]
    if faults:
        raise FaultsError(faults)
