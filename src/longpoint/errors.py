"""What can go wrong for a person, said once and kindly.

A *fault* is one thing wrong in what was given: what, where, and what to do instead. Faults are collected, so
that a person meets all of them at once; `FaultsError` carries them. A *caution* does not stop the work; it
travels with the result.

Anything that is not a `LongpointError` and still reaches the user is a bug of this program.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace


@dataclass(frozen=True, slots=True)
class Where:
    """The place a fault is in.

    Attributes:
        key: Path of the key as a person would write it, e.g. ``work[2].bars.depth``; "" where there is none.
        file: Name of the file; "" where the fault is not in a file.
        line: Line in the file, counted from 1; None where it is not known.
    """

    key: str = ""
    file: str = ""
    line: int | None = None

    def __str__(self) -> str:
        place = self.file + (f", line {self.line}" if self.line is not None else "")
        return ", ".join(bit for bit in (place, self.key) if bit)


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong: what, where, what to do instead.

    Attributes:
        code: Short stable name of the kind of fault, words joined by hyphens, e.g. ``rail-too-deep``.
        what: What is wrong, one sentence with its numbers and units.
        remedy: What to do instead, one sentence.
        where: The place.
    """

    code: str
    what: str
    remedy: str = ""
    where: Where = field(default_factory=Where)

    def __str__(self) -> str:
        head = f"{self.where}: " if str(self.where) else ""
        tail = f" {self.remedy}" if self.remedy else ""
        return f"{head}{self.what}{tail}"


@dataclass(frozen=True, slots=True)
class Caution:
    """Something a person should know that does not stop the work: a code and its figures, for the sheets' words to say.

    Attributes:
        code: Short stable name of the kind.
        about: The work, part or board it is about; "" for the whole batch.
        facts: Names and texts of its figures.
        of: What its sentence is made of where that takes more than figures.
        what: Its sentence, where it is the same for everyone as it stands in a table.
    """

    code: str
    about: str = field(default="", kw_only=True)
    facts: tuple[tuple[str, str], ...] = field(default=(), kw_only=True)
    of: object = field(default=None, kw_only=True)
    what: str = field(default="", kw_only=True)


DOES_NOT_HOLD = "does-not-hold"
"""Code of the caution that a work does not hold; said first wherever cautions are said."""


CANNOT_LEAVE = "cannot-leave"
"""Code of the caution that a work gets out on none of its ways."""


OWN_FIGURES = frozenset(
    {
        *(
            DOES_NOT_HOLD,
            CANNOT_LEAVE,
            "design-assumed",
            "boards-besides",
            "changed-to-hold",
            "halves-unasked",
        ),
        *("other-depth", "other-bars", "other-stand", "other-rails"),
    }
)
"""Codes of cautions that are said of each work with its own figures."""


def gathered(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """Cautions that say the same of several works, said once.

    Cautions that differ only in figures are the same; the first one is kept, the others add whom it is about.

    Returns:
        Cautions in the order they first came.
    """
    groups: dict[tuple[str, object], list[Caution]] = {}
    for caution in cautions:
        own = caution.of is not None and caution.code in OWN_FIGURES
        alike: object = caution.of if own else re.sub(r"\d+", "#", f"{caution.what} {caution.facts}")
        groups.setdefault((caution.code, alike), []).append(caution)
    return tuple(
        replace(group[0], about=", ".join(dict.fromkeys(one.about for one in group if one.about)))
        for group in groups.values()
    )


class LongpointError(Exception):
    """Root of every error that a person can cause and mend."""


class FaultsError(LongpointError):
    """What was given cannot be used; carries every fault found.

    Attributes:
        faults: At least one fault.
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        if not self.faults:
            msg = "FaultsError needs at least one fault"
            raise ValueError(msg)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class OutOfRangeError(LongpointError, ValueError):
    """A number given to an engine function lies outside what the function is valid for."""


def refuse(code: str, what: str, remedy: str = "", where: Where | None = None) -> FaultsError:
    """One fault as an error, for places where only one can be known.

    Returns:
        The error, to be raised by the caller.
    """
    return FaultsError([Fault(code, what, remedy, where or Where())])
