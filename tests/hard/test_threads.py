"""The same numbers, and no more threads than one, whatever the program that uses the library has set."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

CHOOSE = """
from longpoint.choosing.chooser import ComputedChooser
from longpoint.model.reading import parse_batch
from longpoint.works.brief import briefs_of
found = ComputedChooser()(briefs_of(parse_batch('[[work]]\\nname = "a"\\nwidth = 1700\\nheight = 1200\\n'))[0])
print([(verdict.key, verdict.value) for verdict in found.strength.verdicts])
"""


@pytest.mark.slow
def test_verdicts_do_not_follow_the_number_of_threads() -> None:
    said = {
        subprocess.run(
            [sys.executable, "-c", CHOOSE],
            env={**os.environ, "OMP_NUM_THREADS": count, "OPENBLAS_NUM_THREADS": count},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for count in ("1", "2")
    }
    assert len(said) == 1


def test_threads_are_given_back() -> None:
    import numpy as np  # noqa: F401 - with the pools that are counted
    from threadpoolctl import ThreadpoolController, threadpool_limits

    from longpoint.threads import on_one_thread

    def counts() -> set[int]:
        return {pool["num_threads"] for pool in ThreadpoolController().info() if pool["user_api"] == "blas"}

    with threadpool_limits(2, user_api="blas"):
        before = counts()
        assert on_one_thread(on_one_thread(counts))() == {1}
        assert counts() == before
