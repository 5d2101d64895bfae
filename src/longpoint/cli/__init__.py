"""The command line: the only place that prints and wires.

Each command lives in a module of its own, ``longpoint.cli.NAME``, and is imported only when it is called, so
that a lean command answers at once.
"""

from __future__ import annotations

from longpoint.cli.entry import main

__all__ = ["main"]
