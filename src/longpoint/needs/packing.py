"""Packs of a batch: what lies in which, the cut list of their timber through the cutting room, what fits a vehicle."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from longpoint.cutting.boards import values as cut
from longpoint.cutting.boards.values import BoardPlan, BoardProblem, nanometres
from longpoint.errors import Fault, Where
from longpoint.handling.holds import Box
from longpoint.handling.packing import Pack, Packed, Pieces, grouped, pack, standing
from longpoint.handling.passing import passing
from longpoint.model.batch import Batch
from longpoint.model.packing import Packing
from longpoint.needs.boards import in_coins
from longpoint.needs.planned import PlannedWork
from longpoint.refereed import Refereed
from longpoint.units import MILLIMETRES
from longpoint.works.leaving import obstacle_of
from longpoint.works.stock import Section, Stock

CUBIC_INCH_A_POUND = float(MILLIMETRES["in"]) ** 3 / 1000 / 0.45359237
"""cm³ a kilogram in one in³ a pound."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PackedAlike:
    """Packs of one size.

    Attributes:
        mark: Begins the marks of its pieces.
        packing: Which of the batch, from 0.
        works: What lies in each of them.
        pack: One of them.
        how_many: How many.
        counted: What a carrier counts: its mass or that of its size, the greater one. [kg]
        by_size: Mass that its size counts for. [kg]
        stops: Names of ways it does not pass.
        widths: Of the works in one, in order. [mm]
        depths: Of the works in one, with their hangers. [mm]
    """

    mark: str
    packing: int
    works: tuple[tuple[str, ...], ...]
    pack: Pack
    how_many: int
    counted: float
    by_size: float
    stops: tuple[str, ...]
    widths: tuple[float, ...]
    depths: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PackTimber:
    """Timber of one section for packs, and how it is cut.

    Attributes:
        section: The timber.
        problem: What was asked of the saw.
        plan: What comes back.
    """

    section: Section
    problem: BoardProblem
    plan: BoardPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """What stands in a load space.

    Attributes:
        way: Name of the way.
        space: What the space is called.
        fits: How many packs were found a place for.
        of: How many there are.
        left: Width left beside the widest row. [mm]
    """

    way: str
    space: str
    fits: int
    of: int
    left: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Packs:
    """The packs of a batch.

    Attributes:
        alike: Packs of each size.
        timber: How their timber is cut, section by section.
        sheets: Area of sheets by thickness. [mm], [m²]
        loaded: What stands in the load spaces that are stated.
    """

    alike: tuple[PackedAlike, ...]
    timber: tuple[PackTimber, ...]
    sheets: tuple[tuple[float, float], ...]
    loaded: tuple[Loaded, ...]


def packs_of(
    batch: Batch, stock: Stock, works: Sequence[PlannedWork], *, solve: Callable[[BoardProblem], BoardPlan]
) -> Packs | None:
    """The packs of a batch; None where nothing is said of packing.

    Args:
        batch: What is stated.
        stock: What can be had.
        works: Its works, planned.
        solve: Plans the cutting of one section.
    """
    if not batch.packing:
        return None
    alike: list[PackedAlike] = []
    wanted: dict[tuple[Fraction, Fraction, str], tuple[Section, list[cut.WantedPart]]] = {}
    areas: dict[float, float] = {}
    for index, stated in enumerate(batch.packing):
        section = _timber(stock, stated)
        groups: dict[tuple[tuple[float, float, float], ...], list[tuple[Packed, ...]]] = {}
        for group in grouped(_packed(batch, stated, works), stated.together):
            key = tuple((one.width, one.height, one.depth) for one in group)
            groups.setdefault(key, []).append(group)
        for same in groups.values():
            mark = f"P{len(alike) + 1}"
            made = _made(batch, index, mark, same, section)
            alike.append(made)
            if stated.kind != "sleeve":
                area = sum(one.length * one.width * one.how_many for one in made.pack.sheets) * 1e-6
                sheet = float(stated.sheet)
                areas[sheet] = areas.get(sheet, 0.0) + area * made.how_many
                key_of = (section.real_thickness, section.real_depth, section.wood)
                wanted.setdefault(key_of, (section, []))[1].extend(
                    _parts(mark, made.pack.timber, made.how_many)
                )
    timber = []
    for section, parts in wanted.values():
        problem = _problem(batch, section, tuple(parts))
        timber.append(PackTimber(section=section, problem=problem, plan=solve(problem)))
    return Packs(
        alike=tuple(alike),
        timber=tuple(timber),
        sheets=tuple(areas.items()),
        loaded=_loaded(batch, alike),
    )


def packs_refereed(packs: Packs | None) -> tuple[Refereed, ...]:
    """What the referee found of the cut lists of packs."""
    if packs is None:
        return ()
    return tuple(one.plan.refereed for one in packs.timber if one.plan.refereed is not None)


def packing_faults(batch: Batch, faults: Sequence[Fault]) -> tuple[Fault, ...]:
    """Faults of a cut list said of the packing that wants it: a batten that no board gives."""
    return tuple(
        Fault(
            fault.code,
            f"packing: {fault.what}",
            "Name longer timber (packing.timber), or pack smaller works together.",
            Where("packing[1].timber"),
        )
        if batch.packing
        else fault
        for fault in faults
    )


def divisor_of(batch: Batch, stated: Packing) -> float:
    """What the volume is divided by. [cm³/kg]"""
    inches = batch.show == "in"
    value = stated.divisor if stated.divisor != "auto" else 139.0 if inches else 5000.0
    return value * CUBIC_INCH_A_POUND if inches else value


def members_of(batch: Batch, stated: Packing) -> tuple[str, ...]:
    """Names of the works that are packed so, sets taken apart."""
    if stated.works is None:
        return tuple(work.name for work in batch.work)
    sets = {group.name: group.members for group in batch.set}
    return tuple(dict.fromkeys(member for name in stated.works for member in sets.get(name, (name,))))


def marked(mark: str, pieces: Sequence[Pieces]) -> tuple[tuple[str, Pieces], ...]:
    """Battens with the marks they are sawn by."""
    return tuple((f"{mark}.{number}", one) for number, one in enumerate(pieces, start=1))


def _packed(batch: Batch, stated: Packing, works: Sequence[PlannedWork]) -> list[Packed]:
    names = members_of(batch, stated)
    off = float(batch.hanger.stands_off) if batch.hanger.per_work else 0.0
    return [
        Packed(
            name=work.name,
            width=float(work.frame.design.width),
            height=float(work.frame.design.height),
            depth=float(work.frame.design.bar_depth) + off,
            mass=work.mass,
        )
        for work in works
        if work.name in names
        for _ in range(work.how_many)
    ]


def _made(
    batch: Batch, index: int, mark: str, same: Sequence[tuple[Packed, ...]], section: Section
) -> PackedAlike:
    stated = batch.packing[index]
    corner = stated.corner if stated.corner != "auto" else Fraction(20 if stated.kind == "sleeve" else 50)
    heaviest = max(same, key=lambda group: sum(one.mass for one in group))
    made = pack(
        heaviest,
        kind=stated.kind,
        clearance=float(stated.clearance),
        back=float(stated.back),
        corner=float(corner),
        sheet=float(stated.sheet),
        batten=(float(section.real_thickness), float(section.real_depth)),
    )
    by_size = made.dimensional_mass(divisor_of(batch, stated))
    width, height, depth = made.outside
    box = Box(width=width, height=height, depth=depth)
    names = {one.name for group in same for one in group}
    stops = tuple(
        way.name
        for way in batch.way
        if (way.works is None or names & set(way.works))
        and not all(passing(obstacle_of(one), box).passes for one in way.obstacle)
    )
    return PackedAlike(
        mark=mark,
        packing=index,
        works=tuple(tuple(one.name for one in group) for group in same),
        pack=made,
        how_many=len(same),
        counted=max(made.mass, by_size),
        by_size=by_size,
        stops=stops,
        widths=tuple(one.width for one in heaviest),
        depths=tuple(one.depth for one in heaviest),
    )


def _timber(stock: Stock, stated: Packing) -> Section:
    """The timber named, else the cheapest on sale that is not ripped; the smallest where nothing has a price."""
    if stated.timber == "auto":
        found = stock.sections("rails")
    else:
        found = (
            *stock.sections("rails", named=stated.timber),
            *stock.sections("bars", named=stated.timber),
        )
    plain = [one for one in found if one.ripped is None and one.on_sale]
    plain = plain or list(stock.ordinary("rails"))
    return min(plain, key=lambda one: (one.per_metre or Decimal(0), one.thickness * one.depth))


def _parts(mark: str, pieces: Sequence[Pieces], how_many: int) -> list[cut.WantedPart]:
    return [
        cut.WantedPart(
            name=name,
            length=nanometres(Fraction(ceil(one.length))),
            how_many=one.how_many * how_many,
            kind=cut.Kind.BLOCK,
            ends=cut.End.SQUARE,
            lie=cut.Lie.MAY_TURN,
            needs=cut.Grade.RAILS,
        )
        for name, one in marked(mark, pieces)
    ]


def _problem(batch: Batch, section: Section, parts: tuple[cut.WantedPart, ...]) -> BoardProblem:
    """New boards only: what the frames leave is counted where they are cut."""
    saw = batch.shop.saw
    thin, wide = sorted((section.real_thickness, section.real_depth))
    show = batch.style.finer().show
    boards = tuple(
        cut.Board(
            name=item.name,
            length=nanometres(item.length, round_up=False),
            cost=in_coins(Fraction(item.price)) if item.price is not None else item.length / 1000,
        )
        for item in section.on_sale
    )
    return BoardProblem(
        section=f"packing {show(section.real_thickness, with_unit=False)} × {show(section.real_depth)}",
        thickness=nanometres(thin),
        depth=nanometres(wide),
        parts=parts,
        boards=boards,
        shop=cut.Shop(
            kerf=nanometres(saw.kerf), trim=nanometres(saw.end_trim), safe=nanometres(saw.shortest_held)
        ),
    )


def _loaded(batch: Batch, alike: Sequence[PackedAlike]) -> tuple[Loaded, ...]:
    sides = [one.pack.outside for one in alike for _ in range(one.how_many)]
    found = []
    for way in batch.way:
        for place in way.obstacle:
            if place.kind != "load space":
                continue
            assert place.width is not None and place.height is not None and place.depth is not None
            fits, left = standing(
                sides, width=float(place.width), height=float(place.height), depth=float(place.depth)
            )
            found.append(
                Loaded(way=way.name, space=place.name or place.kind, fits=fits, of=len(sides), left=left)
            )
    return tuple(found)
