"""What the batch uses and buys, counted from parts, pieces and joints, and what each work costs of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from math import ceil

from longpoint.costing.buying import BuyLine, Group, Told, bought, packs, unpriced
from longpoint.costing.cost import CostSheet, MaterialUse, shared_out, work_cost
from longpoint.joinery.screws.on_sale import sizes_on_sale
from longpoint.model.batch import Batch
from longpoint.model.hardware import Glue, Hanger, Primer, Screw, Size, Staple
from longpoint.needs.boards import SectionCut, board_money
from longpoint.needs.cloth import ClothCutting
from longpoint.needs.hours import hours_range, operations_of, set_up_of
from longpoint.needs.packing import Packs
from longpoint.needs.planned import PlannedWork
from longpoint.needs.tools import filler_grams, sandpaper_sheets
from longpoint.stretching.ranges import Range
from longpoint.units import CENT, MILLIMETRES
from longpoint.works.hanging import HungWork
from longpoint.works.ordinary import lengths_words, ordinary_screws, region_words
from longpoint.works.stock import Stock

SUNDRIES: tuple[Group, ...] = ("screws", "glue", "staples", "primer", "hangers", "sundries")
"""Groups of the buying list that are used by the piece out of packs."""

Packed = Glue | Hanger | Primer | Size | Staple


def purchases_of(
    batch: Batch,
    stock: Stock,
    works: Sequence[PlannedWork],
    boards: Sequence[SectionCut],
    cloths: Sequence[ClothCutting],
    packs: Packs | None = None,
    hung: Sequence[HungWork] = (),
) -> tuple[BuyLine, ...]:
    """The buying list of a batch."""
    lines: list[BuyLine] = []
    for board in boards:
        lines += _timber(batch, stock, board)
    for cloth in cloths:
        lines += _cloth(batch, stock, cloth)
    lines += _sundries(batch, stock, works, hung)
    lines += _packing(batch, packs)
    return tuple(lines)


def costs_of(
    batch: Batch,
    stock: Stock,
    works: Sequence[PlannedWork],
    boards: Sequence[SectionCut],
    cloths: Sequence[ClothCutting],
    buying: Sequence[BuyLine],
    packs: Packs | None = None,
) -> CostSheet:
    """The cost of a batch, shared out to its works so that shares add up to the cent."""
    names = [work.name for work in works]
    timber = dict.fromkeys(names, Decimal(0))
    rack = used = Decimal(0)
    for board in boards:
        if not board.priced:
            continue
        weights = dict.fromkeys(names, 0.0)
        for part in {part.name: part for part in board.problem.parts}.values():
            weights[part.work] += float(part.planned * part.how_many)
        cost = board_money(max(board.plan.cost - board.plan.left_worth, Fraction(0)))
        for name, share in shared_out(cost, weights).items():
            timber[name] += share
        used += cost
        rack += board_money(sum((one.cost for one in board.plan.boards if one.at_hand), Fraction(0)))
    uses = [_use("timber", buying, rack=rack, used=used)]
    cloth_cost = dict.fromkeys(names, Decimal(0))
    rack = used = Decimal(0)
    for cloth in cloths:
        if not cloth.priced:
            continue
        areas = {piece.work: float(piece.width * piece.height) * piece.how_many for piece in cloth.pieces}
        at_hand = sum((use.cost for use in cloth.plan.uses if not use.bought), Decimal(0)).quantize(CENT)
        # what the shop asks is rounded by the yard there, not by the metre as the lay counts
        paid = sum((use.paid for use in cloth.plan.uses), Decimal(0))
        asked = sum(
            (line.total or Decimal(0) for line in _cloth(batch, stock, cloth) if line.buy), Decimal(0)
        )
        cost = (cloth.plan.cost + asked - paid).quantize(CENT)
        for name, share in shared_out(cost, areas).items():
            cloth_cost[name] += share
        used, rack = used + cost, rack + at_hand
    uses.append(_use("cloth", buying, rack=rack, used=used))
    for group in SUNDRIES:
        uses.append(_sundry_use(group, buying))
    weights = {work.name: float(work.piece.width + work.piece.height) * work.how_many for work in works}
    sundries = shared_out(sum((use.used for use in uses[2:]), Decimal(0)), weights)
    uses.append(_sundry_use("packing", buying))
    for name, share in shared_out(uses[-1].used, _packed_areas(works, packs)).items():
        sundries[name] += share
    rates = batch.shop.rates
    set_up = set_up_of(batch.shop)
    pieces = {work.name: float(work.how_many) for work in works}
    shares = {
        end: shared_out(Decimal(str(round(getattr(set_up.minutes, end) / 60, 2))), pieces)
        for end in ("low", "middle", "high")
    }
    costs = []
    for work in works:
        operations = operations_of(batch.shop, work)
        making, painting = hours_range(operations), batch.work[work.index].painting_hours * work.how_many
        low, middle, high = (
            round(getattr(making, end) + float(shares[end][work.name]) + painting, 2)
            for end in ("low", "middle", "high")
        )
        costs.append(
            work_cost(
                work=work.name,
                how_many=work.how_many,
                timber=timber[work.name],
                cloth=cloth_cost[work.name],
                sundries=sundries[work.name],
                operations=operations,
                hours=Range(low, middle, high),
                per_hour=rates.per_hour,
                overhead=rates.overhead,
                overhead_on=rates.overhead_on,
                waste=rates.material_waste,
            )
        )
    return CostSheet(
        works=tuple(costs),
        materials=tuple(use for use in uses if use.bought or use.used or use.rack),
        set_up=set_up,
        missing=unpriced(buying),
    )


def _packed_areas(works: Sequence[PlannedWork], packs: Packs | None) -> dict[str, float]:
    """Faces of the works that are packed, by name: what packing costs is shared by them. [mm²]"""
    faces = {work.name: float(work.frame.design.width * work.frame.design.height) for work in works}
    found: dict[str, float] = {}
    for one in () if packs is None else packs.alike:
        for group in one.works:
            for name in group:
                found[name] = found.get(name, 0.0) + faces[name]
    return found


def _packing(batch: Batch, packs: Packs | None) -> list[BuyLine]:
    """Boards and sheets that packs are made of."""
    if packs is None:
        return []
    lines = []
    style = batch.style
    show = style.finer().show
    for timber in packs.timber:
        on_sale = {item.name: item for item in timber.section.on_sale}
        section = f"{show(timber.section.thickness, with_unit=False)} × {show(timber.section.depth)}"
        taken = Counter(board.board for board in timber.plan.boards)
        for name, count in sorted(taken.items(), key=lambda pair: -float(on_sale[pair[0]].length)):
            item = on_sale[name]
            notes = [Told("for-packing")]
            if timber.section.assumed and item.price is not None:
                notes.append(Told("price-estimated"))
            lines.append(
                BuyLine(
                    group="packing",
                    what=_board(item.timber, section, style.show(item.length)),
                    need=count,
                    have=0,
                    unit="boards",
                    buy=count,
                    pack=Told("board"),
                    each=None if item.price is None else item.price.quantize(CENT),
                    notes=tuple(notes),
                )
            )
    prices = {float(one.sheet): one.sheet_price for one in batch.packing if one.sheet_price is not None}
    feet = batch.show == "in"
    unit, one = ("ft²", Decimal("0.09290304")) if feet else ("m²", Decimal(1))
    for thickness, area in packs.sheets:
        square = round(area / float(one), 2)
        rate = prices.get(thickness)
        lines.append(
            BuyLine(
                group="packing",
                what=Told("plywood", (("thickness", show(Fraction(thickness))),)),
                need=square,
                have=0,
                unit=unit,
                buy=square,
                pack=Told(unit),
                each=None if rate is None else (rate * one).quantize(CENT),
                notes=(Told("estimate"),),
            )
        )
    return lines


def _use(group: Group, buying: Sequence[BuyLine], *, rack: Decimal, used: Decimal) -> MaterialUse:
    paid = bought([line for line in buying if line.group == group]) or Decimal(0)
    return MaterialUse(group=group, bought=paid, rack=rack, used=used)


def _sundry_use(group: Group, buying: Sequence[BuyLine]) -> MaterialUse:
    """Of what comes in packs: what is used, by its share of a pack."""
    paid = rack = used = Decimal(0)
    for line in buying:
        if line.group != group or line.each is None:
            continue
        per_unit = line.each / Decimal(str(line.contents))
        mine = (per_unit * Decimal(str(line.need))).quantize(CENT)
        fresh = min(mine, (per_unit * Decimal(str(max(line.need - line.have, 0.0)))).quantize(CENT))
        paid += line.total if line.buy and line.total is not None else Decimal(0)
        used, rack = used + mine, rack + mine - fresh
    return MaterialUse(group=group, bought=paid, rack=rack, used=used)


def _timber(batch: Batch, stock: Stock, board: SectionCut) -> list[BuyLine]:
    show = batch.style.finer().show
    style = batch.style
    how = board.section.ripped
    sides = (board.section.thickness, board.section.depth) if how is None else (how.thickness, how.wide)
    section = f"{show(sides[0], with_unit=False)} × {show(sides[1])}"
    shop = (_from_yard(stock),) if board.section.assumed else ()
    use = Told(f"for-{board.use.replace(' ', '-')}")
    if how is None:
        goes: tuple[Told, ...] = (use,)
    else:
        goes = (use, Told("ripped", (("strips", str(how.strips)), ("strip", show(how.strip)))))
    lines = []
    on_sale = {
        item.name: item if how is None else replace(item, price=item.board_price)
        for item in board.section.on_sale
    }
    taken = {name: count for name, count in board.boards_taken.items() if name in on_sale}
    for name, count in sorted(taken.items(), key=lambda pair: -float(on_sale[pair[0]].length)):
        item = on_sale[name]
        assumed: tuple[Told, ...] = (_from_shop(stock),) if item.besides else shop
        if assumed and item.price is not None:
            assumed = (Told("price-estimated"), *assumed)
        lines.append(
            BuyLine(
                group="timber",
                what=_board(item.timber, section, style.show(item.length)),
                need=count,
                have=0,
                unit="boards",
                buy=count,
                pack=Told("board"),
                each=None if item.price is None else item.price.quantize(Decimal("0.01")),
                notes=(*goes, *assumed),
            )
        )
    rack = {item.name: item for item in board.section.rack}
    for name, count in sorted(board.boards_taken.items()):
        if name in on_sale:
            continue
        lines.append(
            BuyLine(
                group="timber",
                what=Told(
                    "rack-board",
                    (("name", name), ("section", section), ("length", style.show(rack[name].length))),
                ),
                need=count,
                have=count,
                unit="boards",
                buy=0,
                pack=Told("board"),
                each=None,
                notes=(*goes, Told("rack")),
            )
        )
    if taken:
        longest = max(taken, key=lambda name: on_sale[name].length)
        item = on_sale[longest]
        lines.append(
            BuyLine(
                group="timber" if batch.shop.spare else "advised",
                what=_board(item.timber, section, style.show(item.length)),
                need=1,
                have=0,
                unit="boards",
                buy=1,
                pack=Told("board"),
                each=None if item.price is None else item.price.quantize(Decimal("0.01")),
                spare=1,
                notes=(Told(f"spare-{use.key}"),),
            )
        )
    return lines


def _board(timber: str, section: str, length: str) -> Told:
    """A board as it is asked for: with its section, unless its name says that already."""
    plain = section.replace(" ", "").rstrip("cmin")
    if plain in timber.replace(" ", "").replace("x", "×"):
        return Told("board", (("timber", timber), ("length", length)))
    return Told("board-of", (("timber", timber), ("section", section), ("length", length)))


def _from_shop(stock: Stock) -> Told:
    """A thing of which nothing is stated: an ordinary shop has it."""
    return Told("shop", (("region", region_words(stock.region)),))


def _from_yard(stock: Stock) -> Told:
    """Timber of which nothing is stated: an ordinary yard has it in these lengths."""
    return Told("yard", (("region", region_words(stock.region)), ("lengths", lengths_words(stock.region))))


def _cloth(batch: Batch, stock: Stock, cloth: ClothCutting) -> list[BuyLine]:
    rolls = {roll.name: roll for roll in batch.roll}
    wide = {roll.name: roll.width for roll in cloth.problem.rolls}
    lines = []
    for use in cloth.plan.uses:
        roll = rolls.get(use.roll)
        yards = batch.show == "in"
        unit, millimetres = ("yd", 914.4) if yards else ("m", 1000.0)
        need = round(use.used / millimetres, 2)
        each = roll.rate if roll is not None and cloth.priced else None
        if each is not None and yards:
            each = (each * Decimal("0.9144")).quantize(Decimal("0.01"))
        width = batch.style.show(Fraction(wide[use.roll]))
        at_hand = roll is not None and roll.at_hand
        found = (Told("rack"),) if at_hand else (_from_shop(stock),) if roll is None else ()
        lines.append(
            BuyLine(
                group="cloth",
                what=Told("roll", (("roll", use.roll), ("width", width))),
                need=need,
                have=need if at_hand else 0,
                unit=unit,
                buy=0 if at_hand else round(use.bought / millimetres, 2),
                pack=Told(unit),
                each=None if at_hand else each,
                notes=found,
            )
        )
    return lines


def _sundries(
    batch: Batch, stock: Stock, works: Sequence[PlannedWork], hung: Sequence[HungWork]
) -> list[BuyLine]:
    return [
        *_screws(batch, stock, works, hung),
        *_hardware(works),
        *_extra(batch, works),
        *_glue(batch, works),
        *_staples(batch, stock, works),
        *_coatings(batch, works),
        *_hangers(batch, works),
        *_advised(works),
    ]


def _screws(
    batch: Batch, stock: Stock, works: Sequence[PlannedWork], hung: Sequence[HungWork]
) -> list[BuyLine]:
    counts: Counter[str] = Counter()
    for work in works:
        for line in work.build.screws:
            counts[line.screw.name] += line.count * work.how_many
    many = {work.name: work.how_many for work in works}
    for one in hung:
        for fixing in one.fixings:
            counts[fixing.screw.name] += many[one.work]
    lines = []
    offered: list[tuple[Screw, tuple[Told, ...]]] = [(screw, ()) for screw in batch.screw]
    shop = _from_shop(stock)
    offered += [(screw, (shop,)) for screw in ordinary_screws(stock.region)]
    for screw, assumed in offered:
        (size,) = sizes_on_sale([screw])
        need = counts.pop(size.name, 0)
        if not need:
            continue
        # A screw that is dropped or turned off is not found again; one in twenty-five, at least two.
        spare = max(2, need // 25) if batch.shop.spare else 0
        lines.append(
            BuyLine(
                group="screws",
                what=Told("screw", (("size", size.name.removeprefix("screw ")),)),
                need=need + spare,
                have=min(need + spare, screw.at_hand),
                unit="screws",
                buy=packs(need=need + spare, have=screw.at_hand, pack=screw.box),
                pack=_box(screw.box),
                contents=screw.box,
                each=screw.price,
                spare=spare,
                notes=assumed,
            )
        )
    return lines


def _hardware(works: Sequence[PlannedWork]) -> list[BuyLine]:
    """Bolts, washers, nuts and dowels of frames in two halves."""
    counts: Counter[tuple[str, str]] = Counter()
    for work in works:
        for line in work.build.hardware:
            counts[line.kind, line.size] += line.count * work.how_many
    return [
        BuyLine(
            group="screws",
            what=Told(kind, (("size", size),)),
            need=count,
            have=0,
            unit="pieces",
            buy=count,
            pack=Told("piece"),
            each=None,
            notes=(Told("bolt-together"),),
        )
        for (kind, size), count in counts.items()
    ]


def _extra(batch: Batch, works: Sequence[PlannedWork]) -> list[BuyLine]:
    show = batch.style.finer().show
    counts: Counter[tuple[str, str]] = Counter()
    for work in works:
        for piece in work.build.extra:
            size = (
                f"{show(piece.length, with_unit=False)} × {show(piece.width, with_unit=False)} × "
                f"{show(piece.thickness)}"
            )
            counts[piece.name, size] += piece.how_many * work.how_many
    return [
        BuyLine(
            group="sundries",
            what=Told("piece", (("piece", name), ("size", size))),
            need=count,
            have=0,
            unit="pieces",
            buy=0,
            pack=Told("piece"),
            each=None,
            notes=(Told("offcuts"),),
        )
        for (name, size), count in sorted(counts.items())
    ]


def _packed(
    group: Group,
    item: Packed,
    what: Told,
    need: float,
    unit: str,
    pack: tuple[Told, float],
    notes: tuple[Told, ...],
) -> BuyLine:
    """A thing that is bought in whole packs, each told and with what it holds."""
    word, contents = pack
    return BuyLine(
        group=group,
        what=what,
        need=need,
        have=min(need, item.at_hand),
        unit=unit,
        buy=packs(need=need, have=item.at_hand, pack=contents),
        pack=word,
        contents=contents,
        each=item.price,
        notes=notes,
    )


def _box(count: int) -> Told:
    return Told("box", (("count", str(count)),))


def _product(name: str) -> Told:
    return Told("product", (("product", name),))


def _glue(batch: Batch, works: Sequence[PlannedWork]) -> list[BuyLine]:
    used = batch.shop.factors.glue or 1.0
    grams = round(used * sum(work.build.glue_grams * work.how_many for work in works), 1)
    if not grams:
        return []
    glue, notes = batch.glue, _usual(batch, "glue", "estimate")
    pack = Told("bottle", (("grams", f"{glue.bottle:g}"),)), glue.bottle
    return [_packed("glue", glue, _product(glue.name), grams, "g", pack, notes)]


def _sold_as(batch: Batch, size: Fraction) -> str:
    """A size as a shop says it: in inches only where it is a whole number of sixteenths."""
    if batch.style.system == "in" and size % (MILLIMETRES["in"] / 16):
        return f"{float(size):g} mm"
    return batch.style.finer().show(size)


def _staples(batch: Batch, stock: Stock, works: Sequence[PlannedWork]) -> list[BuyLine]:
    chosen: Counter[float] = Counter()
    for work in works:
        chosen[work.canvas.leg] += work.canvas.staples.driven * work.how_many
    lines = []
    for leg, need in sorted(chosen.items()):
        staple = next(item for item in stock.staples if float(item.leg) == leg)
        need = ceil(round(need * (batch.shop.factors.staples or 1.0), 6))
        what = Told("staples", (("product", staple.name), ("leg", _sold_as(batch, staple.leg))))
        notes = () if batch.staple else (_from_shop(stock),)
        pack = _box(staple.box), staple.box
        lines.append(_packed("staples", staple, what, need, "staples", pack, notes))
    return lines


def _coatings(batch: Batch, works: Sequence[PlannedWork]) -> list[BuyLine]:
    lines = []
    for item in (batch.size, batch.primer):
        if item is None or not item.coats:
            continue
        litres = 0.0
        for work in works:
            if work.canvas.priming is not None:
                amounts = work.canvas.priming.amounts
                litres += sum(a.litres.middle for a in amounts if a.name == item.kind) * work.how_many
        litres = round(litres, 2)
        if not litres:
            continue
        notes = _usual(batch, "primer" if item is batch.primer else "size", "estimate")
        pack = Told("tin", (("litres", f"{item.tin:g}"),)), item.tin
        what = Told("coats", (("product", item.label), ("coats", str(item.coats))))
        lines.append(_packed("primer", item, what, litres, "l", pack, notes))
    return lines


def _hangers(batch: Batch, works: Sequence[PlannedWork]) -> list[BuyLine]:
    hangers = batch.hanger.per_work * sum(work.how_many for work in works)
    if not hangers or batch.hanger.by == "split batten":
        return []
    item, notes = batch.hanger, _usual(batch, "hanger")
    pack = _box(item.box), item.box
    return [_packed("hangers", item, _product(item.name), hangers, "pieces", pack, notes)]


def _advised(works: Sequence[PlannedWork]) -> list[BuyLine]:
    """What the steps ask for and most benches have: filler, sandpaper."""
    lines = []
    for name, amount, unit, pack in (
        ("wood-filler", ceil(filler_grams(works)), "g", "one-tin"),
        ("sandpaper", sandpaper_sheets(works), "sheets", "sheet"),
    ):
        if amount:
            buy = 1 if unit == "g" else amount
            lines.append(
                BuyLine(
                    group="advised",
                    what=Told(name),
                    need=amount,
                    have=0,
                    unit=unit,
                    buy=buy,
                    pack=Told(pack),
                    each=None,
                    notes=(Told("estimate"),),
                )
            )
    return lines


def _usual(batch: Batch, key: str, *notes: str) -> tuple[Told, ...]:
    """The notes of a thing of which the batch may say nothing: then a usual one is assumed."""
    assumed = () if key in batch.model_fields_set else ("assumed",)
    return tuple(Told(note) for note in (*notes, *assumed))
