"""The batch: everything that is stated, in one frozen value."""

from __future__ import annotations

from typing import Any, Literal, TypeVar

from pydantic import Field, model_validator

from longpoint.model.cloth import Roll
from longpoint.model.hardware import Glue, Hanger, Primer, Screw, Size, Staple
from longpoint.model.order import OrderWish
from longpoint.model.packing import Packing
from longpoint.model.price import Price
from longpoint.model.quantities import OneLine, Stated, Text, YesNo
from longpoint.model.shop import Climate, Limits, Shop
from longpoint.model.timber import Arrived, RackBoard, YardTimber
from longpoint.model.walls import Wall
from longpoint.model.ways import Way
from longpoint.model.works import BarsWish, ClothWish, InsideWish, Work, WorkSet
from longpoint.units import LengthStyle

Wish = TypeVar("Wish", BarsWish, InsideWish, ClothWish)


NAMELESS = {
    "work": ("Work", "Werk"),
    "set": ("Set", "Gruppe"),
    "yard": ("Timber", "Holz"),
    "rack": ("Board", "Brett"),
    "roll": ("Roll", "Rolle"),
    "way": ("Way", "Weg"),
    "wall": ("Wall", "Wand"),
}
"""What things are called that a file gives no name, in English and German; where there are several, with a number."""


def numbered(tables: Any, word: str) -> Any:
    """The tables of one kind, those without a name called by a word and their number among all.

    Args:
        tables: As read from a file; anything but a list is given back as it is.
        word: What one is called.
    """
    if not isinstance(tables, (list, tuple)):
        return tables
    taken = {
        table["name"] for table in tables if isinstance(table, dict) and isinstance(table.get("name"), str)
    }
    called: list[Any] = []
    for number, table in enumerate(tables, start=1):
        if not isinstance(table, dict) or "name" in table:
            called.append(table)
            continue
        name = word if len(tables) == 1 else f"{word} {number}"
        while name in taken:
            name += "*"
        taken.add(name)
        called.append({"name": name, **table})
    return called


class Batch(Stated):
    """A list of works and what is at hand.

    Attributes:
        title: Printed on every sheet.
        unit: Unit of bare numbers in the file.
        show: Unit of the sheets; left out, it follows ``unit``.
        fraction: Finest fraction of an inch on the sheets.
        currency: Word or sign behind amounts.
        paper: Paper of the sheets; left out, Letter where the sheets are in inches, else A4.
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
        price: How works are sold.
        climate: The climate.
        limits: Tightened limits.
        as_stated: Whether only what is stated is planned: where it does not go, nothing is changed and nothing bought
            besides. ``longpoint plan --as-stated`` says the same for once.
        way: Ways out of the studio.
        wall: Walls that works hang on.
        packing: How works are packed.
    """

    title: OneLine = "Batch"
    unit: Literal["mm", "cm", "m", "in", "ft"] = "mm"
    show: Literal["mm", "cm", "in"] = "mm"
    fraction: Literal[2, 4, 8, 16, 32, 64] = 16
    currency: Text = Field(default="", max_length=12)
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
    size: Size | None = None
    primer: Primer = Primer()
    hanger: Hanger = Hanger()
    shop: Shop = Shop()
    price: Price = Price()
    climate: Climate = Climate()
    limits: Limits = Limits()
    as_stated: YesNo = False
    way: tuple[Way, ...] = ()
    wall: tuple[Wall, ...] = ()
    packing: tuple[Packing, ...] = ()

    @model_validator(mode="before")
    @classmethod
    def _sheets_by_unit(cls, data: Any) -> Any:
        if not isinstance(data, dict):
            return data
        show = data.get("show", {"cm": "cm", "in": "in", "ft": "in"}.get(str(data.get("unit")), "mm"))
        return {"show": show, "paper": "Letter" if show == "in" else "A4", **data}

    @model_validator(mode="before")
    @classmethod
    def _nameless_are_numbered(cls, data: Any) -> Any:
        if not isinstance(data, dict):
            return data
        german = data.get("language") == "de"
        return {
            **data,
            **{key: numbered(data[key], words[german]) for key, words in NAMELESS.items() if key in data},
        }

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
