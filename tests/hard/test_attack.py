"""A few hundred mutated inputs of every kind; ``make attack`` reads millions."""

from __future__ import annotations

import pytest

from hard.attack import KINDS, Report, one


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_what_almost_makes_sense_is_read_or_refused(kind: str) -> None:
    report = Report()
    for seed in range(min(60, 2 * KINDS[kind][1])):
        one(kind, seed, report)
    assert report.fell == []
