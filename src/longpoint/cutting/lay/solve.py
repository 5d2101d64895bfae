"""One ground laid as well as the effort allows, with what it must cost at least."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from longpoint.cutting.lay.evidence import Columns, Evidence, PieceWorth
from longpoint.cutting.lay.exact.bound import area_length, column_length, least_cost, least_length
from longpoint.cutting.lay.exact.clear import least_cost_round_flaws, length_round_flaws
from longpoint.cutting.lay.exact.flawed import prove_round_flaws
from longpoint.cutting.lay.exact.share import Charge, cheapest_share
from longpoint.cutting.lay.exact.shortest import prove, tighten
from longpoint.cutting.lay.free import lay_free
from longpoint.cutting.lay.ground import UNLIMITED, Ground, Put, Stock
from longpoint.cutting.lay.shelves import shelves
from longpoint.cutting.lay.walk.search import Search

PAIRS = 15_000  # pairs of sets and of blocks the proof may look at for one lay of the effort
PATIENT = 2  # times as many where somebody waits for the lay alone, or few pieces are shared among rolls
AT_ONCE = 100  # pieces laid at once; more are laid in parts, one behind the other
TIGHTENED = 20  # pieces up to which blocks that waste little are tried
PROVED = 40  # pieces up to which a proof from blocks is tried
PARTINGS = 50  # ways to part pieces over a cut round flaws looked at for one lay of the effort
FIRST_TRIAL = 4  # the first trial length may take this part of them: the others take more
FEWER_PAIRS = 2_000  # the same for each share of waste tried without proof


@dataclass(frozen=True, slots=True)
class Found:
    """What a search came back with.

    Attributes:
        puts: The rectangles laid.
        cost: What they cost.
        at_least: What any lay costs at least.
        length: Length that any lay takes at least, where there is one roll; else 0. [ticks]
        complete: All wanted rectangles are laid.
        least: What any lay is charged at least, in units of the charge; None where that was not found out.
        evidence: What bounds by arithmetic rest on. [ticks]
    """

    puts: tuple[Put, ...]
    cost: float
    at_least: float
    length: int
    complete: bool
    least: int | None = None
    evidence: Evidence = field(default_factory=Evidence)


def solve_ground(ground: Ground, *, effort: int, charge: Charge | None = None) -> Found:
    """Lay a ground.

    Args:
        ground: Rectangles and rolls.
        effort: How many lays the search may try.
        charge: What the rolls cost in whole numbers; with it few pieces on several rolls are laid at the least cost.

    Returns:
        The best lay found and the bound.
    """
    if len(ground.stocks) > 1:
        bound, worths = least_cost(ground)
        if any(stock.blocked for stock in ground.stocks):
            narrow, more = least_cost_round_flaws(ground)
            bound, worths = max(bound, narrow), worths + more
        cost, puts, complete = Search(ground).best(effort=effort, good_enough=bound * (1 + 1e-12))
        least = None
        if charge is not None:
            at_hand = charge.total(ground.used(puts)) if complete else None
            better, least = cheapest_share(
                ground, charge=charge, at_hand=at_hand, work=effort * PAIRS * PATIENT, cuts=effort * PARTINGS
            )
            if better is not None:
                cost, puts, complete = ground.cost(better), better, True
        return Found(puts, cost, bound, 0, complete, least, _evidence(ground, worths))
    (stock,) = ground.stocks
    if not stock.blocked and not stock.crossways and ground.longest >= UNLIMITED:
        plain = Ground(ground.wants, (Stock(stock.width),))
        puts, length, evidence = solve_strip(plain, effort=effort, any_cut=False, patient=False)
        if ground.used(puts)[0] <= stock.length:
            return Found(puts, ground.cost(puts), stock.cost(length), length, True, evidence=evidence)
        # Too long, or not known to fit: what does fit tells the user what is left over.
    length, worths = length_round_flaws(ground)
    cost, puts, complete = Search(ground).best(effort=effort, good_enough=stock.cost(length) * (1 + 1e-12))
    if stock.blocked and ground.longest >= UNLIMITED and (complete or stock.length < UNLIMITED):
        # Where not all pieces found room, any lay that the roll holds is asked for.
        at_hand = ground.used(puts)[0] if complete else stock.length + 1
        proof = prove_round_flaws(ground, at_least=length, length=at_hand, work=effort * PARTINGS)
        if proof.puts is not None:
            puts, complete = proof.puts, True
        if complete:
            length, cost = proof.at_least, ground.cost(puts)
    return Found(puts, cost, stock.cost(length), length, complete, evidence=_evidence(ground, worths))


def _evidence(
    ground: Ground,
    worths: Sequence[tuple[int, ...]],
    columns: tuple[int, tuple[int, ...]] | None = None,
) -> Evidence:
    """Worths of kinds as worths of sizes, in ticks."""

    def of_sizes(each: tuple[int, ...]) -> tuple[PieceWorth, ...]:
        return tuple(
            PieceWorth(want.across, want.along, want.may_turn, worth)
            for want, worth in zip(ground.wants, each, strict=True)
        )

    return Evidence(
        tuple(of_sizes(each) for each in worths if any(each)),
        None if columns is None else Columns(columns[0], of_sizes(columns[1])),
    )


def solve_strip(
    ground: Ground, *, effort: int, any_cut: bool, patient: bool = True
) -> tuple[tuple[Put, ...], int, Evidence]:
    """Lay a ground of one endless roll as short as the effort allows.

    Args:
        ground: With one roll without limit, flaw or price.
        effort: How many lays the search may try.
        any_cut: Cuts need not go straight through.
        patient: Whether somebody waits for this lay alone. Otherwise proofs that begin dear are left, and long lists
            are laid in parts.

    Returns:
        The rectangles, the length that any lay takes at least [ticks], and what that rests on.
    """
    bound = area_length(ground)
    rows = shelves(ground)
    if rows is not None and ground.used(rows)[0] <= bound:  # nothing to search, so nothing to compile either
        return rows, bound, _evidence(ground, ())
    search = Search(ground)
    worths: list[tuple[int, ...]] = []
    columns = None
    cost, puts, _ = search.best(effort=1, good_enough=float(bound))
    if cost > bound:
        least, shown = least_length(ground)
        bound = max(bound, least)
        worths.append(shown)
    if cost > bound and sum(want.count for want in ground.wants) <= PROVED:
        bound, columns = column_length(ground, at_least=bound, length=int(cost))
    pieces = sum(want.count for want in ground.wants)
    if cost > bound:
        if patient or pieces <= AT_ONCE:
            _, better, _ = search.best(effort=effort, good_enough=float(bound))
        else:
            better = _in_parts(ground, effort=effort // 2, parts=-(-pieces // AT_ONCE))
        if ground.used(better) < ground.used(puts):
            puts = better
            cost = float(ground.used(puts)[0])
    if cost > bound and any_cut:
        puts = lay_free(ground, puts, at_least=bound, effort=effort)
    if ground.used(puts)[0] > bound and pieces <= TIGHTENED:
        length = ground.used(puts)[0]
        puts = tighten(ground, at_least=bound, length=length, work=effort * FEWER_PAIRS) or puts
    if ground.used(puts)[0] > bound and pieces <= PROVED:
        work = effort * PAIRS * (PATIENT if patient else 1)
        proof = prove(
            ground,
            at_least=bound,
            length=ground.used(puts)[0],
            work=work,
            first=None if patient else work // FIRST_TRIAL,
        )
        puts = proof.puts or puts
        if not any_cut:  # it says nothing of other cuts, but a lay by straight cuts may be the shorter one
            bound = max(bound, proof.at_least)
    return puts, bound, _evidence(ground, worths, columns)


def _in_parts(ground: Ground, *, effort: int, parts: int) -> tuple[Put, ...]:
    """A long list laid in parts of all sizes, one behind the other on the one roll.

    What it takes grows with the list as the list does; a lay of some hundred pieces is as good as one of many more.
    """
    order = sorted(
        range(len(ground.wants)), key=lambda at: (-ground.wants[at].across, -ground.wants[at].along, at)
    )
    each = [at for at in order for _ in range(ground.wants[at].count)]
    puts: list[Put] = []
    reach = 0
    for part in range(parts):
        counts = Counter(each[part::parts])
        kinds = sorted(counts)
        mine = replace(ground, wants=tuple(replace(ground.wants[at], count=counts[at]) for at in kinds))
        _, laid, _ = Search(mine).best(effort=effort, good_enough=float(area_length(mine)))
        puts += [replace(put, want=kinds[put.want], y=put.y + reach) for put in laid]
        reach += mine.used(laid)[0]
    return tuple(puts)
