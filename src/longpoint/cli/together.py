"""Several things given at once: every one is looked at, and what is wrong with any of them is said together."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from longpoint.errors import Fault, FaultsError

Given = TypeVar("Given")


class Together:
    """Looks at what was given, one after the other, and keeps the faults.

    Attributes:
        faults: Every fault found so far.
    """

    def __init__(self) -> None:
        self.faults: list[Fault] = []

    def tried(self, read: Callable[[], Given]) -> Given | None:
        """What was given, or None and its faults kept."""
        try:
            return read()
        except FaultsError as error:
            self.faults += error.faults
            return None

    def needed(self, given: Given | None) -> Given:
        """What was given, once nothing is wrong with anything.

        Raises:
            FaultsError: With every fault of everything that was looked at.
        """
        self.stop()
        assert given is not None
        return given

    def stop(self, more: Iterable[Fault] = ()) -> None:
        """Goes no further where there is a fault.

        Raises:
            FaultsError: With every fault of everything that was looked at.
        """
        self.faults += more
        if self.faults:
            raise FaultsError(dict.fromkeys(self.faults))
