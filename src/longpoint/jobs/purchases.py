"""What the batch uses and buys, counted from parts, pieces and joints, and what each work costs of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from longpoint.costing.buying import BuyLine, packs, unpriced
from longpoint.costing.cost import CostSheet, cost_sheet, shared_out, work_cost
from longpoint.jobs.boards import SectionCut, board_money
from longpoint.jobs.cloth import ClothCutting
from longpoint.model.batch import Batch

if TYPE_CHECKING:
    from longpoint.jobs.plan import PlannedWork


def purchases_of(
    batch: Batch,
    works: Sequence[PlannedWork],
    boards: Sequence[SectionCut],
    cloths: Sequence[ClothCutting],
) -> tuple[BuyLine, ...]:
    """The buying list of a batch."""
    lines: list[BuyLine] = []
    for board in boards:
        lines += _timber(batch, board)
    for cloth in cloths:
        lines += _cloth(batch, cloth)
    lines += _sundries(batch, works)
    return tuple(lines)


def costs_of(
    batch: Batch,
    works: Sequence[PlannedWork],
    boards: Sequence[SectionCut],
    cloths: Sequence[ClothCutting],
    buying: Sequence[BuyLine],
) -> CostSheet:
    """The cost of a batch, shared out to its works so that shares add up to the cent."""
    names = [work.name for work in works]
    timber = dict.fromkeys(names, Decimal(0))
    for board in boards:
        if not board.priced:
            continue
        weights = dict.fromkeys(names, 0.0)
        uses = {part.name: part for part in board.problem.parts}
        for part in uses.values():
            weights[part.work] += float(part.planned * part.how_many)
        for name, share in shared_out(board_money(board.plan.cost), weights).items():
            timber[name] += share
    cloth_cost = dict.fromkeys(names, Decimal(0))
    for cloth in cloths:
        if not cloth.priced:
            continue
        areas = {piece.work: float(piece.width * piece.height) * piece.how_many for piece in cloth.pieces}
        for name, share in shared_out(cloth.plan.cost, areas).items():
            cloth_cost[name] += share
    used = Decimal(0)
    for line in buying:
        if line.group in ("timber", "cloth") or line.each is None:
            continue
        per_unit = line.each / Decimal(str(_contents(line)))
        used += (per_unit * Decimal(str(line.need))).quantize(Decimal("0.01"))
    weights = {work.name: float(work.piece.width + work.piece.height) * work.how_many for work in works}
    sundries = shared_out(used, weights)
    rates = batch.shop.rates
    return cost_sheet(
        [
            work_cost(
                work=work.name,
                how_many=work.how_many,
                timber=timber[work.name],
                cloth=cloth_cost[work.name],
                sundries=sundries[work.name],
                hours=hours_of(work),
                per_hour=rates.per_hour,
                overhead=rates.overhead,
                waste=rates.material_waste,
            )
            for work in works
        ],
        margin=rates.margin,
        missing=unpriced(buying),
    )


def hours_of(work: PlannedWork) -> float:
    """Time for all pieces of a work. [h]

    Estimate: 20 minutes for each work, 6 for each part, 12 for each square metre of face, 5 for each metre of
    edge. One published figure, a practised maker's hour for 60 × 75 in (Robbins 2016), lies near it.
    """
    design = work.designed.design
    area = float(design.width * design.height) * 1e-6
    edge = float(2 * (design.width + design.height)) * 1e-3
    parts = sum(part.per_work for part in work.parts)
    return round((20 + 6 * parts + 12 * area + 5 * edge) * work.how_many / 60, 2)


def _contents(line: BuyLine) -> float:
    digits = [word for word in line.pack.replace("×", " ").split() if word.replace(".", "").isdigit()]
    return float(digits[0]) if digits else 1.0


def _timber(batch: Batch, board: SectionCut) -> list[BuyLine]:
    show = batch.style.finer().show
    style = batch.style
    section = f"{show(board.section.thickness, with_unit=False)} × {show(board.section.depth)}"
    taken = Counter(item.board for item in board.plan.boards if not item.at_hand)
    from_rack = Counter(item.board for item in board.plan.boards if item.at_hand)
    lines = []
    on_sale = {item.name: item for item in board.section.on_sale}
    for name, count in sorted(taken.items(), key=lambda pair: -float(on_sale[pair[0]].length)):
        item = on_sale[name]
        lines.append(
            BuyLine(
                group="timber",
                what=f"{item.timber}: {section}, {style.show(item.length)} long",
                need=count,
                have=0,
                unit="boards",
                buy=count,
                pack="board",
                each=None if item.price is None else item.price.quantize(Decimal("0.01")),
                note=f"for {board.use}",
            )
        )
    rack = {item.name: item for item in board.section.rack}
    for name, count in sorted(from_rack.items()):
        lines.append(
            BuyLine(
                group="timber",
                what=f"{name} (rack): {section}, {style.show(rack[name].length)} long",
                need=count,
                have=count,
                unit="boards",
                buy=0,
                pack="board",
                each=None,
                note=f"for {board.use}, from the rack",
            )
        )
    if batch.shop.spare and taken:
        longest = max(taken, key=lambda name: on_sale[name].length)
        item = on_sale[longest]
        lines.append(
            BuyLine(
                group="timber",
                what=f"{item.timber}: {section}, {style.show(item.length)} long",
                need=1,
                have=0,
                unit="boards",
                buy=1,
                pack="board",
                each=None if item.price is None else item.price.quantize(Decimal("0.01")),
                spare=1,
                note=f"spare for {board.use}",
            )
        )
    return lines


def _cloth(batch: Batch, cloth: ClothCutting) -> list[BuyLine]:
    rolls = {roll.name: roll for roll in batch.roll}
    lines = []
    for use in cloth.plan.uses:
        roll = rolls.get(use.roll)
        yards = batch.show == "in"
        unit, millimetres = ("yd", 914.4) if yards else ("m", 1000.0)
        need = round(use.used / millimetres, 2)
        each = roll.rate if roll is not None and cloth.priced else None
        if each is not None and yards:
            each = (each * Decimal("0.9144")).quantize(Decimal("0.01"))
        width = batch.style.show(Fraction(roll.width if roll else 2100))
        at_hand = roll is not None and roll.at_hand
        lines.append(
            BuyLine(
                group="cloth",
                what=f"{use.roll}, {width} wide",
                need=need,
                have=need if at_hand else 0,
                unit=unit,
                buy=0 if at_hand else round(use.bought / millimetres, 2),
                pack=unit,
                each=None if at_hand else each,
                note="from the rack" if at_hand else "",
            )
        )
    return lines


def _sundries(batch: Batch, works: Sequence[PlannedWork]) -> list[BuyLine]:
    area = sum(float(work.piece.width * work.piece.height) * 1e-6 * work.how_many for work in works)
    count = sum(work.how_many for work in works)
    lines = []
    if batch.primer.coats:
        litres = round(area / batch.primer.covers * batch.primer.coats, 2)
        lines.append(
            BuyLine(
                group="primer",
                what=f"{batch.primer.name}, {batch.primer.coats} coats",
                need=litres,
                have=min(litres, batch.primer.at_hand),
                unit="l",
                buy=packs(need=litres, have=batch.primer.at_hand, pack=batch.primer.tin),
                pack=f"tin of {batch.primer.tin:g} l",
                each=batch.primer.price,
            )
        )
    if batch.hanger.per_work:
        hangers = batch.hanger.per_work * count
        lines.append(
            BuyLine(
                group="hangers",
                what=batch.hanger.name,
                need=hangers,
                have=min(hangers, batch.hanger.at_hand),
                unit="pieces",
                buy=packs(need=hangers, have=batch.hanger.at_hand, pack=batch.hanger.box),
                pack=f"box of {batch.hanger.box}",
                each=batch.hanger.price,
            )
        )
    return lines
