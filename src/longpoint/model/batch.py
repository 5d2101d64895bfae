"""The batch: everything that is stated, in one frozen value."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, TypeVar

from pydantic import Field

from longpoint.errors import Fault, FaultsError, Where
from longpoint.model.cloth import Roll
from longpoint.model.hardware import Glue, Hanger, Primer, Screw, Staple
from longpoint.model.order import FILE_ENDING, USUAL_ORDERS, OrderWish
from longpoint.model.quantities import Stated
from longpoint.model.shop import Climate, Limits, Shop
from longpoint.model.timber import Arrived, RackBoard, YardTimber
from longpoint.model.works import BarsWish, ClothWish, InsideWish, Work, WorkSet
from longpoint.tables import species, strength_class
from longpoint.units import LengthStyle

Wish = TypeVar("Wish", BarsWish, InsideWish, ClothWish)


class Batch(Stated):
    """A list of works and what is at hand.

    Attributes:
        title: Printed on every sheet.
        unit: Unit of bare numbers in the file.
        show: Unit of the sheets.
        fraction: Finest fraction of an inch on the sheets.
        currency: Word or sign behind amounts.
        paper: Paper of the sheets.
        language: Language of the sheets.
        bars: How bars are wished, for works that say nothing else.
        inside: How inner members are wished.
        cloth: How cloth is wished.
        work: The works.
        set: Works hung as one.
        yard: Timber on sale; left out, an ordinary yard without prices is assumed.
        rack: Boards at hand.
        arrived: What timber that came really measures.
        roll: Cloth.
        order: Orders of stapling of your own.
        screw: Screws on sale.
        glue: Glue.
        staple: Staples.
        size: Size put on before the primer; left out for none.
        primer: Primer.
        hanger: Hangers.
        shop: The shop.
        climate: The climate.
        limits: Tightened limits.
    """

    title: str = Field(default="Batch", min_length=1, max_length=80)
    unit: Literal["mm", "cm", "m", "in", "ft"] = "mm"
    show: Literal["mm", "cm", "in"] = "mm"
    fraction: Literal[2, 4, 8, 16, 32, 64] = 16
    currency: str = Field(default="", max_length=12)
    paper: Literal["A4", "Letter"] = "A4"
    language: Literal["en", "de"] = "en"
    bars: BarsWish = BarsWish()
    inside: InsideWish = InsideWish()
    cloth: ClothWish = ClothWish()
    work: tuple[Work, ...] = Field(min_length=1)
    set: tuple[WorkSet, ...] = ()
    yard: tuple[YardTimber, ...] = ()
    rack: tuple[RackBoard, ...] = ()
    arrived: tuple[Arrived, ...] = ()
    roll: tuple[Roll, ...] = ()
    order: tuple[OrderWish, ...] = ()
    screw: tuple[Screw, ...] = ()
    glue: Glue = Glue()
    staple: tuple[Staple, ...] = ()
    size: Primer | None = None
    primer: Primer = Primer()
    hanger: Hanger = Hanger()
    shop: Shop = Shop()
    climate: Climate = Climate()
    limits: Limits = Limits()

    @property
    def style(self) -> LengthStyle:
        """How lengths are shown."""
        return LengthStyle(system=self.show, fraction=self.fraction)

    def bars_of(self, work: Work) -> BarsWish:
        """The batch's wish for bars with what the work says otherwise."""
        return _over(self.bars, work.bars)

    def inside_of(self, work: Work) -> InsideWish:
        """The batch's wish for inner members with what the work says otherwise."""
        return _over(self.inside, work.inside)

    def cloth_of(self, work: Work) -> ClothWish:
        """The batch's wish for cloth with what the work says otherwise."""
        return _over(self.cloth, work.cloth)


def _over(base: Wish, over: Wish) -> Wish:
    said = {key: getattr(over, key) for key in over.model_fields_set}
    return base.model_copy(update=said) if said else base


def contradictions(batch: Batch) -> tuple[Fault, ...]:
    """Faults between parts of a batch that are each well formed: names used twice, names that nothing bears."""
    faults: list[Fault] = []
    for kind, names in (
        ("work", [work.name for work in batch.work]),
        ("set", [item.name for item in batch.set]),
        ("yard", [timber.name for timber in batch.yard]),
        ("rack", [board.name for board in batch.rack]),
        ("roll", [roll.name for roll in batch.roll]),
        ("order", [order.name for order in batch.order]),
    ):
        faults += _twice(kind, names)
    works = {work.name for work in batch.work}
    for index, group in enumerate(batch.set):
        for member in group.members:
            if member not in works:
                faults.append(
                    Fault(
                        "unknown-name",
                        f"the set {group.name!r} names {member!r}, which is no work of this batch.",
                        "Use the name of a work as it is written under [[work]].",
                        Where(f"set[{index + 1}].members"),
                    )
                )
    timbers = {timber.name for timber in batch.yard}
    for key, wish in [("bars.timber", batch.bars.timber), ("inside.timber", batch.inside.timber)] + [
        (f"work[{index + 1}].{key}", name)
        for index, work in enumerate(batch.work)
        for key, name in (("bars.timber", work.bars.timber), ("inside.timber", work.inside.timber))
    ]:
        if wish != "auto" and wish not in timbers:
            faults.append(_no_such(key, wish, "timber", "[[yard]]"))
    rolls = {roll.name for roll in batch.roll}
    for key, name in [("cloth.roll", batch.cloth.roll)] + [
        (f"work[{index + 1}].cloth.roll", work.cloth.roll) for index, work in enumerate(batch.work)
    ]:
        if name != "auto" and name not in rolls:
            faults.append(_no_such(key, name, "roll", "[[roll]]"))
    faults += _unknown_orders(batch)
    known = timbers | {board.name for board in batch.rack}
    for index, arrived in enumerate(batch.arrived):
        if arrived.timber not in known:
            faults.append(
                _no_such(f"arrived[{index + 1}].timber", arrived.timber, "timber", "[[yard]] or [[rack]]")
            )
    for index, timber in enumerate(batch.yard):
        faults += _unknown_wood(timber.timber, f"yard[{index + 1}].timber")
    for index, board in enumerate(batch.rack):
        faults += _unknown_wood(board.timber, f"rack[{index + 1}].timber")
    for index, board in enumerate(batch.rack):
        for place, span in enumerate(board.avoid):
            if span.stop > board.length or span.start >= span.stop:
                faults.append(
                    Fault(
                        "span-outside-board",
                        f"the stretch to avoid on board {board.name!r} does not lie on the board.",
                        "Give start and stop from one end, start before stop, both within its length.",
                        Where(f"rack[{index + 1}].avoid[{place + 1}]"),
                    )
                )
    return tuple(faults)


def _unknown_orders(batch: Batch) -> list[Fault]:
    """Orders that are no usual one, none of the batch, and no file."""
    own = [order.name for order in batch.order]
    named = [("cloth.order", batch.cloth.order)]
    named += [(f"work[{index + 1}].cloth.order", work.cloth.order) for index, work in enumerate(batch.work)]
    faults = [
        Fault(
            "unknown-order",
            f"{name!r} is no order of stapling.",
            f"Use {', '.join([*USUAL_ORDERS, *own])}, or a file whose name ends in {FILE_ENDING}.",
            Where(key),
        )
        for key, name in named
        if name not in USUAL_ORDERS and name not in own and not name.endswith(FILE_ENDING)
    ]
    faults += [
        Fault(
            "usual-name",
            f"{name!r} is the name of a usual order.",
            "Give your own another name.",
            Where(f"order[{index}].name"),
        )
        for index, name in enumerate(own, start=1)
        if name in USUAL_ORDERS
    ]
    return faults


def _unknown_wood(name: str, key: str) -> tuple[Fault, ...]:
    """The tables' own fault, with its key, where a timber is neither a strength class nor a species."""
    try:
        strength_class(name)
    except FaultsError:
        try:
            species(name)
        except FaultsError as error:
            return tuple(
                Fault(fault.code, fault.what, fault.remedy or "Use C16, C18, C24 or a species.", Where(key))
                for fault in error.faults
            )
    return ()


def _twice(kind: str, names: Iterable[str]) -> list[Fault]:
    seen: set[str] = set()
    faults = []
    for index, name in enumerate(names):
        if name in seen:
            faults.append(
                Fault(
                    "name-twice",
                    f"the name {name!r} stands twice under [[{kind}]].",
                    "Give each its own name, or use how_many for equal ones.",
                    Where(f"{kind}[{index + 1}].name"),
                )
            )
        seen.add(name)
    return faults


def _no_such(key: str, name: str, what: str, table: str) -> Fault:
    return Fault(
        "unknown-name",
        f"{name!r} is no {what} of this batch.",
        f'Use a name that stands under {table}, or "auto".',
        Where(key),
    )
