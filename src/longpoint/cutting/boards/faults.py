"""What cannot be cut, said before anything is solved: every fault at once."""

from __future__ import annotations

import difflib
from collections import Counter
from fractions import Fraction

from longpoint.cutting.boards.accept import bend_left, clear_sticks, refusals
from longpoint.cutting.boards.values import Board, BoardProblem, Kind, WantedPart
from longpoint.errors import Fault, Where

WIDEST_KERF = 25_000_000  # nm; estimate: no hand-fed saw takes as much in one cut


def _mm(length: int) -> str:
    return f"{length / 1e6:.10g} mm"


def find_faults(problem: BoardProblem) -> tuple[Fault, ...]:
    """Everything wrong with a problem.

    Args:
        problem: The problem as stated.

    Returns:
        The faults; empty where it can be solved (the boards at hand may still be too few).
    """
    faults = [*_shop_faults(problem), *_part_faults(problem), *_board_faults(problem)]
    if not faults:
        faults.extend(_unmakeable(problem))
    return tuple(faults)


def _shop_faults(problem: BoardProblem) -> list[Fault]:
    shop, where = problem.shop, Where(key="shop")
    faults: list[Fault] = []
    for name in ("kerf", "trim", "safe"):
        value = getattr(shop, name)
        if value < 0:
            faults.append(Fault("negative-length", f"The {name} is {_mm(value)}.", "Give 0 or more.", where))
    if shop.kerf > WIDEST_KERF:
        faults.append(
            Fault(
                "absurd-kerf",
                f"A kerf of {_mm(shop.kerf)} is wider than any cross-cut saw takes.",
                f"Measure one cut in waste wood; up to {_mm(WIDEST_KERF)} is accepted.",
                where,
            )
        )
    within = problem.settings_within
    if within is not None and not 0 <= within <= 1:
        faults.append(
            Fault(
                "share-out-of-range",
                f"A share of {float(within):.10g} above the least cost is to be spent for less sorting.",
                "Give a share from 0 to 1, e.g. 0.01 for one percent.",
                where,
            )
        )
    for worth in shop.offcuts:
        if not 0 <= worth.share < 1:
            faults.append(
                Fault(
                    "share-out-of-range",
                    f"An offcut for a {worth.kind} is said to keep {worth.share} of its price.",
                    "Give a share of at least 0 and below 1, or boards would be bought to be kept.",
                    where,
                )
            )
    return faults


def _part_faults(problem: BoardProblem) -> list[Fault]:
    faults: list[Fault] = []
    if not problem.parts:
        faults.append(
            Fault("nothing-wanted", "No part is wanted.", "Name at least one part.", Where(key="parts"))
        )
    for name, count in Counter(part.name for part in problem.parts).items():
        if count > 1:
            faults.append(
                Fault(
                    "duplicate-name",
                    f"{count} parts are called {name}.",
                    "Give each its own name.",
                    Where(key=name),
                )
            )
    highest, widest = problem.shop.highest_at_45, problem.shop.widest_at_45
    for part in problem.parts:
        where = Where(key=part.name)
        if part.length <= 0 or part.extra < 0:
            faults.append(
                Fault(
                    "not-a-length",
                    f"{part.name} is {_mm(part.planned)} long.",
                    "Give a length above 0.",
                    where,
                )
            )
            continue
        if part.how_many < 1:
            faults.append(
                Fault(
                    "not-a-count",
                    f"{part.how_many} of {part.name} are wanted.",
                    "Give a whole number from 1 on.",
                    where,
                )
            )
        if part.is_mitred and part.mitre_width <= 0:
            faults.append(
                Fault(
                    "no-mitre-width",
                    f"{part.name} is mitred but its size in the mitre plane is not given.",
                    "Give mitre_width: the thickness on edge, the depth lying flat.",
                    where,
                )
            )
        elif part.is_mitred and part.length < 2 * part.mitre_width:
            faults.append(
                Fault(
                    "mitres-meet",
                    f"{part.name} is {_mm(part.length)} long on the long point, less than two mitres of "
                    f"{_mm(part.mitre_width)}.",
                    "Make it longer or its timber thinner.",
                    where,
                )
            )
        if part.is_mitred and part.mitre_width > 0:
            standing = problem.depth if part.mitre_width == problem.thickness else problem.thickness
            if highest is not None and standing > highest:
                faults.append(
                    Fault(
                        "too-high-for-saw",
                        f"{part.name} stands {_mm(standing)} high in the saw, which mitres {_mm(highest)} at most.",
                        "Use a higher saw, lower timber, or a mitre box.",
                        where,
                    )
                )
            if widest is not None and part.mitre_width > widest:
                faults.append(
                    Fault(
                        "too-wide-for-saw",
                        f"{part.name} is {_mm(part.mitre_width)} wide in the saw, which mitres {_mm(widest)} at most.",
                        "Use a wider saw, narrower timber, or a mitre box.",
                        where,
                    )
                )
    widths = {part.mitre_width for part in problem.parts if part.is_mitred and part.mitre_width > 0}
    if len(widths) > 2:
        faults.append(
            Fault(
                "too-many-mitre-widths",
                f"Timber of one section shows {len(widths)} different sizes in the mitre plane.",
                "A section has two sides: put other sections into a problem of their own.",
                Where(key=problem.section),
            )
        )
    return faults


def _board_faults(problem: BoardProblem) -> list[Fault]:
    faults: list[Fault] = []
    if not problem.boards:
        faults.append(
            Fault(
                "no-boards",
                "No board is on sale or at hand.",
                "Give at least one length on sale or one board at hand.",
                Where(key="boards"),
            )
        )
    for name, count in Counter(board.name for board in problem.boards).items():
        if count > 1:
            faults.append(
                Fault(
                    "duplicate-name",
                    f"{count} boards are called {name}.",
                    "Give each its own name.",
                    Where(key=name),
                )
            )
    for board in problem.boards:
        where = Where(key=board.name)
        if board.length <= 0:
            faults.append(
                Fault(
                    "not-a-length",
                    f"{board.name} is {_mm(board.length)} long.",
                    "Give a length above 0.",
                    where,
                )
            )
            continue
        if Fraction(board.cost) < 0:
            faults.append(
                Fault(
                    "negative-price",
                    f"{board.name} costs {float(board.cost):.10g}.",
                    "Give 0 or more.",
                    where,
                )
            )
        if board.how_many is not None and board.how_many < 0:
            faults.append(
                Fault("not-a-count", f"There are {board.how_many} of {board.name}.", "Give 0 or more.", where)
            )
        for span in board.spoiled:
            if not 0 <= span.start < span.end <= board.length:
                faults.append(
                    Fault(
                        "span-outside-board",
                        f"A spoiled span of {board.name} runs from {_mm(span.start)} to {_mm(span.end)}; the board "
                        f"from 0 to {_mm(board.length)}.",
                        "Measure spans from the board's left end, the smaller number first.",
                        where,
                    )
                )
        for name, bend in (("bow", board.bow), ("crook", board.crook), ("twist", board.twist)):
            # An arc deeper than half its chord is no board any more.
            if bend < 0 or 2 * bend > board.length:
                faults.append(
                    Fault(
                        "bend-too-large",
                        f"{board.name} is said to have {_mm(bend)} of {name} on {_mm(board.length)}.",
                        "Give the rise over the whole board, 0 or more and less than half its length.",
                        where,
                    )
                )
    return faults


def nearest_board(part: WantedPart, problem: BoardProblem) -> tuple[Board, tuple[str, ...]] | None:
    """The board that comes nearest to giving a part, and what stands in the way.

    Args:
        part: The part.
        problem: Where it is wanted.

    Returns:
        Fewest reasons first, then the least missing length, then the least bend over; None without boards.
    """
    shop = problem.shop

    def distance(board: Board) -> tuple[int, int, int, int, str]:
        reasons = refusals(part, board, shop)
        longest = max((stick.length for stick in clear_sticks(board, shop)), default=0)
        bends = sum(
            bend_left(bend, length=min(part.planned, board.length), board_length=board.length)
            for bend in (board.bow, board.crook, board.twist)
        )
        return (
            len(reasons),
            max(0, part.planned - longest),
            max(0, part.least_grade - board.grade),
            bends,
            board.name,
        )

    candidates = [board for board in problem.boards if board.how_many != 0]
    if not candidates:
        return None
    board = min(candidates, key=distance)
    return board, refusals(part, board, shop)


def _unmakeable(problem: BoardProblem) -> list[Fault]:
    shop = problem.shop
    faults: list[Fault] = []
    for part in problem.parts:
        nearest = nearest_board(part, problem)
        if nearest is None:
            faults.append(
                Fault(
                    "no-board-gives",
                    f"{part.name} finds no board: there are none left.",
                    "Add boards.",
                    Where(key=part.name),
                )
            )
            continue
        board, reasons = nearest
        if reasons:
            what = "; ".join(reasons)
            extra = f" ({_mm(part.extra)} kept for measuring)" if part.extra else ""
            faults.append(
                Fault(
                    "no-board-gives",
                    f"No board gives {part.name}, {_mm(part.planned)}{extra}. {board.name} comes nearest: {what}.",
                    "Add a board that will do, or make the part shorter"
                    + (" (in two pieces, or the work smaller)." if part.kind is Kind.BAR else "."),
                    Where(key=part.name),
                )
            )
            continue
        if shop.safe and part.planned < shop.safe and not _safe_somewhere(part, problem):
            faults.append(
                Fault(
                    "never-safe",
                    f"{part.name}, {_mm(part.planned)}, would have to be cut from a stub shorter than the "
                    f"{_mm(shop.safe)} that may be held safely.",
                    "Add a longer board, or hold the piece in a clamped jig and lower the shortest safe piece.",
                    Where(key=part.name),
                )
            )
    return faults


def _safe_somewhere(part: WantedPart, problem: BoardProblem) -> bool:
    return any(
        not refusals(part, board, problem.shop)
        and any(
            stick.length >= part.planned and stick.length + stick.beyond >= problem.shop.safe
            for stick in clear_sticks(board, problem.shop)
        )
        for board in problem.boards
        if board.how_many != 0
    )


def nearest_word(word: str, known: list[str]) -> str:
    """The known word nearest to one that is not known, "" where none is near."""
    close = difflib.get_close_matches(word, known, n=1, cutoff=0.5)
    return close[0] if close else ""
