"""The first seeds of the hunt, every time the tests run; `make hunt` goes on from there."""

from __future__ import annotations

import pytest

from hunt.kinds import KINDS
from hunt.run import check


@pytest.mark.slow
@pytest.mark.parametrize(
    ("kind", "first"), [(kind, first) for kind, one in KINDS.items() for first in range(0, one.quick, 25)]
)
def test_nothing_false_among_the_first_seeds(kind: str, first: int) -> None:
    last = min(first + 25, KINDS[kind].quick)
    wrong = {seed: found.wrong for seed in range(first, last) if (found := check(kind, seed)).wrong}
    assert not wrong, f"python tests/hunt/run.py --kind {kind} --first SEED --cases 1: {wrong}"
