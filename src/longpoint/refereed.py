"""What a referee found: code that shares nothing with the search checks an answer before anyone sees it.

A referee that refuses has found a fault of this program, never of the person who asked. So what it found travels with
the answer: what was taken instead, and the list as it was asked, so that it can be sent to us.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from longpoint.errors import Caution, Fault


@dataclass(frozen=True, slots=True)
class Refereed:
    """What a referee found of one answer.

    Attributes:
        what: What was checked: "boards", "cloth", "build" or "equilibrium".
        about: Which one: the section, the roll or the work.
        faults: What is wrong with the answer that was found first; empty where it passed.
        instead: What was taken instead: "" where it passed, "claims-dropped" where the same answer stands but proves
            less, "by-hand" where a plainer one was taken.
        case: The list as it was asked, as JSON text; "" where it passed.
    """

    what: str
    about: str
    faults: tuple[Fault, ...] = ()
    instead: str = ""
    case: str = ""

    @property
    def passed(self) -> bool:
        """Whether nothing was wrong."""
        return not self.faults


def cautions_of(found: Iterable[Refereed]) -> tuple[Caution, ...]:
    """What a person is told of refusals; nothing where all passed.

    Args:
        found: What referees found.

    Returns:
        One caution for each refusal.
    """
    return tuple(Caution("referee-refused", about=one.about, of=one) for one in found if not one.passed)
