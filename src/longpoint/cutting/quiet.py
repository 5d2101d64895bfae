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


class SolverStopped(Exception):
    """A linear program that has an answer ended without one; whoever asked falls back, no person meets it."""


def run_linear(model: Any) -> None:
    """Run a linear program that has an answer, from afresh and by other methods where it ends without one.

    Args:
        model: The model; afterwards it holds its answer.

    Raises:
        SolverStopped: If no method answers.
    """
    model.run()
    if _is_solved(model):
        return
    for option, setting, usual in (
        ("presolve", "off", "off"),
        ("presolve", "on", "off"),
        ("solver", "ipm", "simplex"),
    ):
        model.clearSolver()
        model.setOptionValue(option, setting)
        model.run()
        solved = _is_solved(model)
        model.setOptionValue(option, usual)
        if solved:
            return
    raise SolverStopped(model.modelStatusToString(model.getModelStatus()))


def _is_solved(model: Any) -> bool:
    return bool(model.modelStatusToString(model.getModelStatus()) == "Optimal")
