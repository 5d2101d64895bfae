"""Short reminders where work can hurt; the tool's manual and the rules where you work come first."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from longpoint.errors import Caution
from longpoint.tables.reading import Source, pick, rows


@dataclass(frozen=True, slots=True)
class SafetyCaution:
    """What to keep in mind at one kind of work.

    Attributes:
        operation: When: "saw", "staples", ...
        text: What to keep in mind.
        source: Who says so.
    """

    operation: str
    text: str
    source: Source

    @property
    def name(self) -> str:
        """The operation, which is how a caution is found."""
        return self.operation

    def as_caution(self, *, about: str = "") -> Caution:
        """The same as a caution that travels with a result.

        Args:
            about: The work or part it is about.

        Returns:
            The caution.
        """
        return Caution("safety-" + self.operation.replace(" ", "-"), about=about, what=self.text)


@cache
def all_safety_cautions() -> tuple[SafetyCaution, ...]:
    """Every caution in the table.

    Returns:
        The rows in the order of the table.
    """
    return rows("cautions", "cautions", SafetyCaution)


@cache
def safety_caution(operation: str) -> SafetyCaution:
    """What to keep in mind at one kind of work.

    Args:
        operation: As in the table, e.g. "saw".

    Returns:
        The caution.
    """
    return pick(all_safety_cautions(), operation, what="operation with a caution")
