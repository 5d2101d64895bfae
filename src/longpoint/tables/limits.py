"""What is called good enough where the batch says nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from longpoint.errors import Where
from longpoint.tables.reading import Source, pick, rows


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit that a verdict is held against.

    Attributes:
        name: Which.
        value: The number.
        unit: Its unit.
        sense: "at most" or "at least".
        about: What it means to a person.
        source: Where it comes from; mostly an estimate.
    """

    name: str
    value: float
    unit: str
    sense: str
    about: str
    source: Source

    def is_kept(self, value: float) -> bool:
        """Whether a value keeps the limit.

        Args:
            value: In the limit's own unit.

        Returns:
            True at the limit itself.
        """
        return value <= self.value if self.sense == "at most" else value >= self.value


@cache
def all_limits() -> tuple[Limit, ...]:
    """Every limit in the table.

    Returns:
        The rows in the order of the table.
    """
    return rows("limits", "limits", Limit)


@cache
def limit(name: str, *, where: Where | None = None) -> Limit:
    """A limit by its name.

    Args:
        name: As in the table, e.g. "pulled in, now".
        where: Place it was written, for the message.

    Returns:
        The limit.

    Raises:
        FaultsError: If the tables know none of that name.
    """
    return pick(all_limits(), name, what="limit", where=where)
