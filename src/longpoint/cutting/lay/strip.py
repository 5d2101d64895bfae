"""A lay on one endless roll, from stated sizes to checked places."""

from __future__ import annotations

from longpoint.cutting.lay.evidence import Evidence, scaled
from longpoint.cutting.lay.ground import Ground, Put, Stock, Want
from longpoint.cutting.lay.problem import LaidRectangle, LayPlan, LayProblem
from longpoint.cutting.lay.referee.check import check_lay, confirm_lay
from longpoint.cutting.lay.rounding import nm_down, nm_up, tick_of
from longpoint.cutting.lay.shelves import shelves
from longpoint.cutting.lay.solve import solve_strip


def lay_pieces(problem: LayProblem, *, effort: int = 20_000) -> LayPlan:
    """The shortest lay that the effort finds.

    A space between neighbours is the same as laying rectangles that are larger by the space on a roll that is
    wider by the space, and taking it off the length in the end.

    Args:
        problem: Rectangles and roll; every rectangle fits across the roll one way.
        effort: How many lays of 60 rectangles the search may try (fewer of more): counts work, not seconds.

    Returns:
        A lay that `check_lay` accepts, with the bound that `confirm_lay` confirms.
    """
    space = nm_up(problem.spacing)
    width = nm_down(problem.roll_width) + space
    kinds: dict[tuple[int, int, bool], list[int]] = {}
    for at, piece in enumerate(problem.pieces):
        size = (nm_up(piece.across) + space, nm_up(piece.along) + space, piece.may_turn)
        kinds.setdefault(size, []).extend([at] * piece.count)
    tick = tick_of([width, *(side for across, along, _ in kinds for side in (across, along))])
    wants = tuple(
        Want(w // tick, h // tick, len(for_piece), turn) for (w, h, turn), for_piece in kinds.items()
    )
    ground = Ground(wants, (Stock(width // tick),))
    puts, bound, evidence = solve_strip(ground, effort=effort, any_cut=problem.any_cut)
    plan = _plan(ground, puts, kinds, tick, space, bound=bound, evidence=scaled(evidence, tick))
    wrong = check_lay(problem, plan)
    if wrong:
        rows = shelves(ground)
        assert rows is not None, "rows hold everything on an endless roll"
        plan = _plan(ground, rows, kinds, tick, space, bound=bound, evidence=plan.evidence)
        wrong_too = check_lay(problem, plan)
        if wrong_too:
            msg = "not even rows pass the check of a lay: " + "; ".join(wrong_too)
            raise AssertionError(msg)
    return confirm_lay(problem, plan, refused=tuple(wrong))


def _plan(
    ground: Ground,
    puts: tuple[Put, ...],
    kinds: dict[tuple[int, int, bool], list[int]],
    tick: int,
    space: int,
    *,
    bound: int,
    evidence: Evidence,
) -> LayPlan:
    given = [iter(for_piece) for for_piece in kinds.values()]
    laid = []
    for put in sorted(puts, key=lambda put: (put.y, put.x)):
        across, along = ground.size(put)
        laid.append(
            LaidRectangle(
                piece=next(given[put.want]),
                x=put.x * tick,
                y=put.y * tick,
                across=across * tick - space,
                along=along * tick - space,
                turned=put.turned,
            )
        )
    length = max(each.y + each.along for each in laid)
    return LayPlan(tuple(laid), length, min(length, bound * tick - space), evidence)
