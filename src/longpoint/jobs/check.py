"""One wish: does each work of a batch hold and stay flat?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.chooser import ComputedChooser
from longpoint.errors import Fault, FaultsError, Where
from longpoint.model.batch import Batch
from longpoint.threads import on_one_thread
from longpoint.works.brief import briefs_of
from longpoint.works.stock import stock_faults


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """One work, checked.

    Attributes:
        index: Which work of the batch, from 0.
        name: Its name.
        width: Of the face. [mm]
        height: Of the face. [mm]
        chosen: Its design with what was computed.
    """

    index: int
    name: str
    width: Fraction
    height: Fraction
    chosen: ChosenDesign


@on_one_thread
def check_batch(
    batch: Batch, *, works: tuple[str, ...] = (), say: Callable[[str], None] = lambda _text: None
) -> tuple[Checked, ...]:
    """Checks the works of a batch.

    Args:
        batch: What is stated.
        works: Names of the works wanted; () for all.
        say: Told what is being done.

    Returns:
        The works, in the order of the batch file.

    Raises:
        FaultsError: With everything that stands against it.
    """
    faults: list[Fault] = [*stock_faults(batch.yard), *unknown_works(batch, works)]
    if faults:
        raise FaultsError(faults)
    chooser = ComputedChooser(say)
    checked = []
    for brief in briefs_of(batch):
        work = brief.work
        if works and work.name not in works:
            continue
        say(f"Computing {work.name}")
        found = chooser(brief)
        if isinstance(found, ChosenDesign):
            checked.append(Checked(brief.index, work.name, work.width, work.height, found))
        else:
            assert isinstance(found, tuple)
            faults += found
    if faults:
        raise FaultsError(dict.fromkeys(faults))
    return tuple(checked)


def unknown_works(batch: Batch, works: tuple[str, ...]) -> tuple[Fault, ...]:
    """Works that are wanted and not there."""
    names = [work.name for work in batch.work]
    return tuple(
        Fault(
            "unknown-work",
            f"there is no work called {name!r}.",
            f"Its works are: {', '.join(names)}.",
            Where("--work"),
        )
        for name in works
        if name not in names
    )
