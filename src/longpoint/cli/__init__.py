"""The command line: the only place that prints and wires.

Each command lives in a module of its own, ``longpoint.cli.NAME``, and is imported only when it is called, so
that a lean command answers at once.
"""

from __future__ import annotations

import os

# The dense blocks of the mechanics are small: threads cost them more than they bring, and answers must not depend
# on how many there are. Must be said before numpy loads.
for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

from longpoint.cli.entry import main  # noqa: E402

__all__ = ["main"]
