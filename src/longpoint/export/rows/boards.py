"""Rows of ``plan.json`` beside the boards: the order at the saw, least sorting, what a proof rests on."""

from __future__ import annotations

from pydantic import Field

from longpoint.cutting.boards.saw import saw_rounds
from longpoint.cutting.boards.values import BoardPlan, CountsProof, millimetres
from longpoint.export.rows.row import Row
from longpoint.needs.boards import SectionCut


class SpanRow(Row):
    """A stretch of a board that no part touches, from its left end, mm."""

    start: float
    end: float
    why: str


class SawRow(Row):
    """What the saw takes, mm."""

    kerf: float
    end_trim: float = Field(description="Off each end of every board.")
    shortest_held: float = Field(
        description="No piece is cut from a shorter stick; 0 where nothing is asked."
    )


class AtSawRow(Row):
    """One part taken off one board."""

    board: str
    copy_number: int
    part: str
    held: float = Field(description="Length of the stick before its right end is cut, mm.")
    is_last: bool = Field(description="Whether it is the last part of its stick.")
    remains: float = Field(description="After the last part: what remains on the shorter edge, mm; else 0.")


class StopRow(Row):
    """One setting of the stop and everything cut under it, in order."""

    stop: float = Field(description="From the blade to the stop on the long point, mm.")
    kept: float = Field(description="Kept on top for a piece that is measured on the frame first, mm.")
    done: int = Field(description="Parts cut so far in this round, these included.")
    wanted: int = Field(description="Parts of this round in all.")
    cuts: list[AtSawRow]


class CrosscutRow(Row):
    """A board cut through inside a spoiled span before anything else."""

    board: str
    copy_number: int
    at: float = Field(description="From its left end, mm.")


class RoundRow(Row):
    """One round at the saw."""

    number: int
    what: str
    longest_first: bool
    crosscuts: list[CrosscutRow]
    before_bevel: list[CrosscutRow] = Field(
        default=[], description="Where the stretch for bars is cut off before its bevel is made."
    )
    settings: list[StopRow]


class CertificateRow(Row):
    """Whole prices that prove the plain part of the bound, for anyone with a knapsack to check.

    No board holds parts worth more than units × its cost, rounded down, and its charge. Then every plan costs at
    least (prices × parts wanted − charges × boards there are) / units.
    """

    units: str = Field(description="Units of these prices in one unit of cost, as a fraction.")
    parts: dict[str, int] = Field(description="Price of one of each part, in units.")
    boards: dict[str, int] = Field(
        description="Charge of each board of limited number, in units; others none."
    )


class BeyondRow(Row):
    """What proves more than the certificate, in whole numbers; the theory page says how to check it."""

    kind: str = Field(description='"numbers of boards" or "listed patterns".')
    unit: str = Field(description="Money of one cost unit, as a fraction; costs are rounded down to it.")
    over: int = Field(description="Every plan costs more cost units than this.")
    groups: list[list[str]] = Field(description="Boards that are counted together.")
    rows: list[dict[str, int]] = Field(
        description="Prices of the parts behind each row; of the certificate behind a list: one row."
    )
    parts: list[list[str]] = Field(description="Parts that are alike, where patterns are listed.")
    charges: list[int] = Field(description="Charge of a board of each group, where patterns are listed.")
    scale: int = Field(
        description="Units of these prices in one cost unit, where patterns are listed; else 0."
    )
    tree: list[str] = Field(
        description="'split j k': number j is at most k, or more; 'leaf D r:y …': the cost's weight, and the rows' own."
    )


class SortingRow(Row):
    """What seeking least sorting came to; one number counts pick-ups, or stop settings worked board by board."""

    within: float = Field(description="Share above the least cost that might be spent.")
    before: int = Field(description="Pick-ups of the plan of least cost, without the wish.")
    free: int = Field(description="Fewest pick-ups found at the least cost.")
    at_least: int = Field(description="No plan within that cost needs fewer.")
    proof: str = Field(description='How the fewest are known: "bound", "enumeration" or nothing.')
    costs_more: float = Field(description="What it costs above the least cost found, counted as in cost.")


def saw_row(section: SectionCut) -> SawRow:
    """What the saw takes."""
    shop = section.problem.shop
    return SawRow(kerf=nm(shop.kerf), end_trim=nm(shop.trim), shortest_held=nm(shop.safe))


def round_rows(section: SectionCut) -> list[RoundRow]:
    """The order at the saw."""
    return [
        RoundRow(
            number=turn.number,
            what=turn.words,
            longest_first=turn.longest_first,
            crosscuts=[
                CrosscutRow(board=board, copy_number=copy, at=nm(at)) for board, copy, at in turn.crosscuts
            ],
            before_bevel=[
                CrosscutRow(board=board, copy_number=copy, at=nm(at)) for board, copy, at in turn.before_bevel
            ],
            settings=[
                StopRow(
                    stop=nm(setting.stop),
                    kept=nm(setting.kept),
                    done=setting.done,
                    wanted=setting.wanted,
                    cuts=[
                        AtSawRow(
                            board=cut.board,
                            copy_number=cut.copy,
                            part=cut.part,
                            held=nm(cut.held),
                            is_last=cut.is_last,
                            remains=nm(cut.remains),
                        )
                        for cut in setting.cuts
                    ],
                )
                for setting in turn.settings
            ],
        )
        for turn in saw_rounds(section.problem, section.plan)
    ]


def certificate_row(plan: BoardPlan) -> CertificateRow:
    """The certificate."""
    certificate = plan.certificate
    return CertificateRow(
        units=str(certificate.scale), parts=dict(certificate.parts), boards=dict(certificate.boards)
    )


def beyond_row(plan: BoardPlan) -> BeyondRow | None:
    """What proves more than the certificate; None where nothing does."""
    proof = plan.beyond
    if proof is None:
        return None
    tree = [
        f"split {first} {second}"
        if isinstance(second, int)
        else " ".join([f"leaf {first}", *(f"{r}:{y}" for r, y in second)])
        for first, second in proof.tree
    ]
    groups = [list(group) for group in proof.groups]
    if isinstance(proof, CountsProof):
        return BeyondRow(
            kind="numbers of boards", unit=str(proof.unit), over=proof.over, groups=groups,
            rows=[dict(row) for row in proof.rows], parts=[], charges=[], scale=0, tree=tree,
        )  # fmt: skip
    prices = {name: price for names, price in zip(proof.parts, proof.prices, strict=True) for name in names}
    return BeyondRow(
        kind="listed patterns", unit=str(proof.unit), over=proof.over, groups=groups, rows=[prices],
        parts=[list(names) for names in proof.parts], charges=list(proof.charges), scale=proof.scale, tree=tree,
    )  # fmt: skip


def sorting_row(plan: BoardPlan) -> SortingRow | None:
    """What least sorting came to."""
    sorting = plan.sorting
    if sorting is None:
        return None
    return SortingRow(
        within=round(float(sorting.within), 6),
        before=sorting.before,
        free=sorting.free,
        at_least=sorting.at_least,
        proof=sorting.proof,
        costs_more=round(float(plan.cost - sorting.cost_before), 6),
    )


def rests_on(plan: BoardPlan) -> str:
    """What the proof of the least cost rests on."""
    if plan.proof == "bound":
        return "The prices of the certificate prove it alone."
    if plan.proof == "branching":
        return (
            "The certificate proves most of it; the rest a search through the possible numbers of boards of each kind, "
            "which stands under beyond and was walked again by code of its own."
        )
    if plan.proof == "enumeration":
        return (
            "The certificate proves most of it; the rest a search through all patterns that a cheaper plan could "
            "contain, which stands under beyond and was walked again by code of its own."
        )
    if plan.sorting is not None and plan.sorting.cost_before == plan.at_least:
        return "The least cost is proven; what is above it is spent for less sorting."
    return "The cost is not proven to be the least; at_least is what is known."


def nm(length: int) -> float:
    """A length of the cutting room in millimetres, to a tenth of a micrometre."""
    return round(millimetres(length), 4)
