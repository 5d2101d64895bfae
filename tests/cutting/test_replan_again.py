"""The rest of a rest: stage after stage, against one plan of the rest that knows everything at once."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from longpoint.cutting.boards.checked import plan_boards
from longpoint.cutting.boards.proof.referee import check_board_plan
from longpoint.cutting.boards.values import (
    Board,
    BoardProblem,
    Cut,
    End,
    Kind,
    Lie,
    Shop,
    WantedPart,
    nanometres,
)
from longpoint.cutting.remainder.bench import Bench, bench_of
from longpoint.cutting.remainder.events import (
    CutSoFar,
    Happened,
    LostSpan,
    MeasuredPart,
    ShortBy,
    SpoiledPart,
)
from longpoint.cutting.remainder.facts import facts_of
from longpoint.cutting.remainder.replan import Replanned, recall_boards, replan_boards
from longpoint.errors import FaultsError

W = 23
SHOP = Shop(nanometres(3), nanometres(15), nanometres(220))


def bar(name: str, length: int, how_many: int) -> WantedPart:
    return WantedPart(name, nanometres(length), how_many, mitre_width=nanometres(W), lie=Lie.LIP_FIXED)


def rail(name: str, length: int, how_many: int, saw_round: int = 2) -> WantedPart:
    return WantedPart(
        name, nanometres(length), how_many, Kind.RAIL, End.SQUARE, round=saw_round, extra=nanometres(4)
    )


BARS = BoardProblem(
    "bars",
    nanometres(W),
    nanometres(47),
    (bar("A1", 1697, 3), bar("A2", 1193, 4), bar("B1", 2309, 2), bar("C1", 487, 5)),
    (
        Board("3610", nanometres(3610), Fraction(9)),
        Board("2420", nanometres(2420), Fraction(31, 5)),
        Board("R", nanometres(2750), Fraction(2), how_many=2, at_hand=True),
    ),
    SHOP,
)
RAILS = BoardProblem(
    "rails",
    nanometres(21),
    nanometres(28),
    (rail("A3", 1151, 4), rail("A4", 533, 3, 3)),
    (Board("2970", nanometres(2970), Fraction(5)), Board("1810", nanometres(1810), Fraction(3))),
    SHOP,
)


def further(bench: Bench, happened: Happened) -> Replanned:
    again = replan_boards(facts_of(bench, happened))
    assert not again.problem.parts or check_board_plan(again.problem, again.plan) == ()
    return again


def start(problem: BoardProblem) -> Bench:
    return bench_of(problem, plan_boards(problem))


def made_and_to_come(again: Replanned) -> Counter[str]:
    """Good pieces and planned ones together, by mark."""
    pieces = again.bench.pieces
    marks = {one.name: one.mark for one in pieces}
    found = Counter({one.mark: 0 for one in pieces})
    for one in pieces:
        found[one.mark] += one.made
    found.update(marks[cut.part] for board in again.plan.boards for cut in board.cuts)
    return found


def wanted(problem: BoardProblem) -> Counter[str]:
    return Counter({part.name: part.how_many for part in problem.parts})


def joined(first: Happened, then: Happened) -> Happened:
    """Both stages as one file of events would say them: cuts of one board counted together."""
    counts: dict[tuple[str, int], int] = {}
    for cut in (*first.cut, *then.cut):
        assert cut.count is not None
        counts[cut.board, cut.copy] = counts.get((cut.board, cut.copy), 0) + cut.count
    return Happened(
        cut=tuple(CutSoFar(board=board, copy=copy, count=count) for (board, copy), count in counts.items()),
        spoiled=(*first.spoiled, *then.spoiled),
        lost=(*first.lost, *then.lost),
        short=(*first.short, *then.short),
        measured=(*first.measured, *then.measured),
    )


def by_chance(rng: np.random.Generator, bench: Bench, boards: list[tuple[str, int]]) -> Happened:
    """Some cuts on these boards, perhaps a piece spoiled, a split, a short end."""
    cut, lost, short = [], [], []
    made: Counter[str] = Counter({one.name: one.made for one in bench.pieces})
    for key in boards:
        board = bench.boards[key]
        count = int(rng.integers(0, len(board.to_come) + 1))
        if count and rng.random() < 0.6:
            cut.append(CutSoFar(board=key[0], copy=key[1], count=count))
            made.update(one.part for one in board.to_come[:count])
            reach = board.to_come[count - 1].end
        else:
            reach = board.reach
        free = board.length - reach
        if free > nanometres(400) and rng.random() < 0.3:
            at = reach + int(rng.integers(nanometres(60), free - nanometres(200)))
            lost.append(LostSpan(board=key[0], copy=key[1], start=at, end=at + nanometres(37)))
        elif free > nanometres(400) and rng.random() < 0.2:
            short.append(ShortBy(board=key[0], copy=key[1], by=int(rng.integers(1, free // 2))))
    ready = sorted(made.elements())
    spoiled = (
        (SpoiledPart(part=ready[int(rng.integers(len(ready)))]),) if ready and rng.random() < 0.6 else ()
    )
    return Happened(cut=tuple(cut), spoiled=spoiled, lost=tuple(lost), short=tuple(short))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(12))
def test_two_stages_cost_what_one_costs_where_the_boards_of_the_first_were_not_bought(seed: int) -> None:
    rng = np.random.default_rng(4100 + seed)
    bench = start(BARS)
    first = by_chance(rng, bench, list(bench.boards))
    one = further(bench, first)
    # Cut later only what both know alike: boards that go on as planned and are whole.
    pairs = zip(one.bench.here, one.boards, strict=True)
    same = [now.key for now, row in pairs if not row.changed and not now.lost]
    then = by_chance(rng, one.bench, same)
    apart = further(one.bench, replace(then, only_named=True))  # what lies here stays here; nothing new came
    at_once = further(bench, joined(first, then))
    assert made_and_to_come(apart) == made_and_to_come(at_once) == wanted(BARS)
    assert [board.done for board in apart.bench.here] == [board.done for board in at_once.bench.here]
    assert apart.plan.at_least <= at_once.plan.cost and at_once.plan.at_least <= apart.plan.cost
    if apart.plan.proven and at_once.plan.proven:
        assert apart.plan.cost == at_once.plan.cost
    # With the new boards bought, both stages together cost no less than one that knew everything.
    bought = further(one.bench, then)
    assert made_and_to_come(bought) == wanted(BARS)
    assert one.plan.cost + bought.plan.cost >= at_once.plan.at_least


def test_cuts_said_first_and_the_mishap_later_give_the_very_same_plan_as_both_at_once() -> None:
    bench = start(BARS)
    keys = [board.key for board in bench.to_fetch]
    cuts = Happened(cut=tuple(CutSoFar(board=name, copy=copy, count=1) for name, copy in keys[:3]))
    name, copy = keys[4]
    mishap = Happened(
        spoiled=(SpoiledPart(part=bench.to_fetch[0].to_come[0].part),),
        lost=(LostSpan(board=name, copy=copy, start=nanometres(900)),),
    )
    first = further(bench, cuts)
    assert first.plan.cost == 0 and not any(board.changed for board in first.boards)
    apart, at_once = further(first.bench, mishap), further(bench, joined(cuts, mishap))
    assert apart == at_once


def test_what_has_come_off_a_board_adds_up_and_its_free_timber_begins_behind_the_last_cut() -> None:
    bench = start(BARS)
    board = next(one for one in bench.to_fetch if len(one.to_come) >= 3)
    names = tuple(cut.part for cut in board.to_come)
    one = Happened(cut=(CutSoFar(board=board.board, copy=board.copy, count=1),))
    first = further(bench, one)
    second = further(first.bench, one)
    now = second.bench.boards[board.key]
    assert now.done == names[:2]
    assert tuple(cut.part for cut in now.to_come) == names[2:]
    assert now.to_come == board.to_come[2:], "nothing moved"
    lies = now.as_it_lies(SHOP)
    assert lies is not None and lies.spoiled[0].end == now.gone > board.to_come[1].end


def test_new_boards_carry_numbers_of_their_own_and_can_go_wrong_in_turn() -> None:
    bench = start(BARS)
    board = next(one for one in bench.to_fetch if one.to_come[0].part == "B1")
    first = further(
        bench,
        Happened(
            cut=(CutSoFar(board=board.board, copy=board.copy, count=1),), spoiled=(SpoiledPart(part="B1"),)
        ),
    )
    (new,) = first.bench.to_fetch
    assert new.copy == 1 + sum(one.board == new.board for one in bench.to_fetch)
    second = further(
        first.bench, Happened(lost=(LostSpan(board=new.board, copy=new.copy, start=nanometres(800)),))
    )
    assert second.bench.boards[new.key].lost[0].start == nanometres(800)
    assert second.plan.cost == first.plan.cost, "a bar of 2309 again needs a board of 2420: by hand"
    (newer,) = second.bench.to_fetch
    assert (newer.board, newer.copy) == (new.board, new.copy + 1)


def test_a_piece_spoiled_after_all_was_cut_is_cut_again() -> None:
    bench = start(BARS)
    done = further(
        bench, Happened(cut=tuple(CutSoFar(board=one.board, copy=one.copy) for one in bench.to_fetch))
    )
    assert done.finished
    again = further(done.bench, Happened(spoiled=(SpoiledPart(part="C1", how_many=2),)))
    assert Counter(cut.part for board in again.plan.boards for cut in board.cuts) == {"C1": 2}


def test_measured_pieces_keep_their_length_and_can_be_measured_once_more() -> None:
    bench = start(RAILS)
    first = further(bench, Happened(measured=(MeasuredPart(part="A3", length=nanometres(1157), how_many=2),)))
    second = further(
        first.bench,
        Happened(
            measured=(
                MeasuredPart(part="A3 at 1157", length=nanometres(1158), how_many=1),
                MeasuredPart(part="A3", length=nanometres(1158), how_many=1),
            )
        ),
    )
    left = {part.name: (part.length, part.extra, part.how_many) for part in second.problem.parts}
    assert left == {
        "A3 at 1157": (nanometres(1157), 0, 1),
        "A3 at 1158": (nanometres(1158), 0, 2),
        "A3": (nanometres(1151), nanometres(4), 1),
        "A4": (nanometres(533), nanometres(4), 3),
    }
    assert made_and_to_come(second) == wanted(RAILS)


def test_a_whole_part_measured_as_planned_is_counted_once() -> None:
    bench = start(RAILS)
    board = next(one for one in bench.to_fetch if one.to_come[0].part == "A3")
    happened = Happened(
        cut=(CutSoFar(board=board.board, copy=board.copy, count=1),),
        measured=(MeasuredPart(part="A3", length=nanometres(1151)),),
    )
    again = further(bench, happened)
    assert {one.name: (one.left, one.made) for one in again.bench.pieces} == {"A3": (3, 1), "A4": (3, 0)}


def test_a_rest_kept_in_a_file_is_recalled_and_one_that_was_altered_is_not() -> None:
    bench = start(BARS)
    board = next(one for one in bench.to_fetch if one.to_come[0].part == "B1")
    happened = Happened(
        cut=(CutSoFar(board=board.board, copy=board.copy, count=1),), spoiled=(SpoiledPart(part="B1"),)
    )
    again = further(bench, happened)
    facts = facts_of(bench, happened)
    recalled, wrong = recall_boards(facts, again.plan.boards)
    assert recalled is not None and wrong == ()
    assert recalled.bench == again.bench and recalled.boards == again.boards

    def moved(cut: Cut) -> Cut:
        return replace(cut, start=cut.start - nanometres(2), end=cut.end - nanometres(2))

    first, *others = again.plan.boards
    harms = (
        (replace(first, cuts=(moved(first.cuts[-1]),)), *others),
        tuple(others),
        (replace(first, board="nowhere"), *others),
        (replace(first, cuts=(replace(first.cuts[0], part="Q9"), *first.cuts[1:])), *others),
    )
    assert all(recall_boards(facts, harm)[0] is None for harm in harms)


def test_what_was_said_before_or_cannot_be_any_more_is_refused_all_at_once() -> None:
    bench = start(BARS)
    cut, split, *_ = bench.to_fetch
    at = split.to_come[0].end + nanometres(40)
    first = further(
        bench,
        Happened(
            cut=(CutSoFar(board=cut.board, copy=cut.copy),),
            lost=(LostSpan(board=split.board, copy=split.copy, start=at, end=at + nanometres(30)),),
            spoiled=(SpoiledPart(part=cut.to_come[0].part),),
        ),
    )
    fetched = first.bench.to_fetch
    second = Happened(
        cut=(CutSoFar(board=cut.board, copy=cut.copy), CutSoFar(board=split.board, copy=99)),
        lost=(
            LostSpan(board=split.board, copy=split.copy, start=at, end=at + nanometres(30)),
            LostSpan(board=cut.board, copy=cut.copy, start=nanometres(100)),
        ),
        short=(ShortBy(board=cut.board, copy=cut.copy, by=cut.timber.length - nanometres(5)),),
        spoiled=(SpoiledPart(part=cut.to_come[0].part, how_many=9),),
        only_named=True,
    )
    with pytest.raises(FaultsError) as error:
        facts_of(first.bench, second)
    assert sorted(fault.code for fault in error.value.faults) == [
        "already-cut",
        "no-such-board",
        "said-before",
        "split-in-cut",
        "spoiled-not-cut",
        "too-short",
    ]
    said = {fault.code: fault.what for fault in error.value.faults}
    assert f"{cut.to_come[0].part}" in said["already-cut"]
    # A board that was to be bought and was not, as only named ones are: it is not here the next time.
    third = further(first.bench, Happened(only_named=True))
    assert not {board.key for board in third.bench.here} & {board.key for board in fetched}
