"""A lay on one endless roll, from stated sizes to checked places."""

from __future__ import annotations

from longpoint.cutting.lay.check import check_lay
from longpoint.cutting.lay.ground import Ground, Stock, Want
from longpoint.cutting.lay.problem import LaidRectangle, LayPlan, LayProblem
from longpoint.cutting.lay.solve import solve_strip
from longpoint.cutting.lay.ticks import nm_down, nm_up, tick_of


def lay_pieces(problem: LayProblem, *, effort: int = 20_000) -> LayPlan:
    """The shortest lay that the effort finds.

    A space between neighbours is the same as laying rectangles that are larger by the space on a roll that is
    wider by the space, and taking it off the length in the end.

    Args:
        problem: Rectangles and roll; every rectangle fits across the roll one way.
        effort: How many lays of 60 rectangles the search may try (fewer of more): counts work, not seconds.

    Returns:
        A lay that `check_lay` accepts, with its bound.
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
    puts, bound = solve_strip(ground, effort=effort, any_cut=problem.any_cut)
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
    plan = LayPlan(tuple(laid), length, min(length, bound * tick - space))
    wrong = check_lay(problem, plan)
    if wrong:
        msg = "the lay failed its own check: " + "; ".join(wrong)
        raise AssertionError(msg)
    return plan
