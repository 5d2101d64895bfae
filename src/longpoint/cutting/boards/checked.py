"""A plan that the referee has passed: searched for, checked, and where it is refused replaced by one that passes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from longpoint.cutting.boards.case import case_of
from longpoint.cutting.boards.plan import count_settings, lay_boards, left_worth_of, search_boards
from longpoint.cutting.boards.proof.referee import check_board_plan
from longpoint.cutting.boards.proof.referee_proof import certificate_bound, next_total, verify_certificate
from longpoint.cutting.boards.search.core import build_core
from longpoint.cutting.boards.search.hand import plan_by_hand
from longpoint.cutting.boards.values import BoardPlan, BoardProblem, Certificate, CutBoard
from longpoint.errors import Caution, Fault, FaultsError, Where
from longpoint.refereed import Refereed, cautions_of

NO_PRICES = Certificate(Fraction(1), ())
Search = Callable[[BoardProblem], BoardPlan]


def plan_boards(problem: BoardProblem, *, search: Search = search_boards) -> BoardPlan:
    """Cut all parts of one section out of boards at the least cost, with its proof; the referee has passed it.

    Args:
        problem: What is wanted, what there is, and the shop.
        search: Finds a plan.

    Returns:
        The plan; what the referee found is in it.

    Raises:
        FaultsError: If something cannot be had; every fault found is in it.
    """
    return checked(problem, search(problem))


def checked(problem: BoardProblem, plan: BoardPlan) -> BoardPlan:
    """The plan where the referee passes it, else the best one that it does pass.

    A refusal is a fault of this program. The boards of the refused plan are kept where only its claims are wrong;
    else they are cut in the order of a hand, and no more is claimed than the certificate proves.

    Args:
        problem: What was asked.
        plan: What the search came to.

    Returns:
        A plan without faults.

    Raises:
        FaultsError: If not even the plan by hand passes.
    """
    faults = check_board_plan(problem, plan)
    if not faults:
        return replace(plan, refereed=Refereed("boards", problem.section))
    case = case_of(problem)
    for instead, other in _plainer(problem, plan):
        if not check_board_plan(problem, other):
            refereed = Refereed("boards", problem.section, faults, instead, case)
            return replace(other, refereed=refereed, cautions=(*other.cautions, *cautions_of([refereed])))
    raise FaultsError(
        [
            Fault(
                "no-plan-passes",
                f"No cutting plan for {problem.section} passes our own check ({faults[0].what}) That is a fault of "
                "this program.",
                "Please send us the batch or list as it is; another kerf or one more length on sale may get round it.",
                Where(key=problem.section),
            )
        ]
    )


def _plainer(problem: BoardProblem, plan: BoardPlan) -> Iterator[tuple[str, BoardPlan]]:
    """Plans that claim less: the same boards, then a hand's."""
    cautions = tuple(caution for caution in plan.cautions if caution.code != "safe-stub-costs")
    parts, boards = {part.name for part in problem.parts}, {board.name for board in problem.boards}
    cut = {cut.part for board in plan.boards for cut in board.cuts}
    if cut <= parts and {board.board for board in plan.boards} <= boards:
        yield "claims-dropped", plan_of(problem, plan.boards, plan.certificate, cautions=cautions)
    core = build_core(problem)
    by_hand = plan_by_hand(core)
    if by_hand is not None:
        yield (
            "by-hand",
            plan_of(problem, lay_boards(problem, core, by_hand), plan.certificate, cautions=cautions),
        )


def plan_of(
    problem: BoardProblem,
    boards: Sequence[CutBoard],
    certificate: Certificate = NO_PRICES,
    *,
    cautions: tuple[Caution, ...] = (),
) -> BoardPlan:
    """A plan that claims no more than a certificate proves; without one, that nothing costs less than nothing.

    Args:
        problem: What it answers.
        boards: How it is cut.
        certificate: Prices that may prove a bound.
        cautions: What a person should know.

    Returns:
        The plan.
    """
    cost = sum((board.cost for board in boards), Fraction(0))
    at_least = Fraction(0)
    if certificate.parts and verify_certificate(problem, certificate):
        at_least = min(cost, max(at_least, next_total(problem, certificate_bound(problem, certificate))))
    else:
        certificate = NO_PRICES
    settings, pickups = count_settings(problem, boards)
    proven = at_least == cost
    return BoardPlan(
        problem.section, tuple(boards), cost, at_least, proven, "bound" if proven else "",
        (cost - at_least) / at_least if at_least else Fraction(0), certificate,
        left_worth=left_worth_of(problem, boards), settings=settings, pickups=pickups, cautions=cautions,
    )  # fmt: skip
