"""HiGHS as the cutting room uses it: one thread, one seed, and not a word on the terminal."""

from __future__ import annotations

from typing import Any


def quiet_highs() -> Any:
    """A HiGHS model that prints nothing.

    The first HiGHS object of a process fixes its thread count; one that asks for another count later
    silently solves nothing, so every model of the package is made here. The public class switches its
    call-backs on while it is being made, which prints a banner before the output can be switched off; the
    engine never uses call-backs, so that step is left out.

    Returns:
        The model.
    """
    import highspy

    class Quiet(highspy.Highs):  # type: ignore[misc]
        def __init__(self) -> None:
            super(highspy.Highs, self).__init__()

    model = Quiet()
    model.setOptionValue("output_flag", False)
    model.setOptionValue("threads", 1)
    model.setOptionValue("random_seed", 0)
    return model
