"""The shop: saws, planer, driver, screws, rates, times and air, kept in the batch file with its comments."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from longpoint.errors import FaultsError
from longpoint.web.batch_text import by_field, fields_of, shown, with_values
from longpoint.web.pages.wanted import Ident, keep, rows_of, stating
from longpoint.web.room import page, room_of, see, typed_in

router = APIRouter(include_in_schema=False)

GROUPS: dict[str, tuple[str, ...]] = {
    "saw": (
        "shop.saw.kerf",
        "shop.saw.width_at_45",
        "shop.saw.height_at_45",
        "shop.saw.end_trim",
        "shop.saw.shortest_held",
    ),
    "planer": ("shop.rip.kerf", "shop.rip.planed_off", "shop.rip.least"),
    "driver": ("shop.drill.length", "shop.drill.chuck_radius", "shop.drill.bit_length"),
    "money": (
        "shop.rates.per_hour",
        "shop.rates.overhead",
        "shop.rates.margin",
        "shop.rates.material_waste",
        "price.round_to",
        "price.tax",
    ),
    "hands": ("shop.people", "shop.hours_a_day"),
    "minutes": (
        "shop.minutes.set_up",
        "shop.minutes.cut",
        "shop.minutes.bevel",
        "shop.minutes.hole",
        "shop.minutes.screw",
        "shop.minutes.cloth",
        "shop.minutes.staple",
        "shop.minutes.coat",
    ),
    "air": ("climate.temperature", "climate.humidity_low", "climate.humidity_now", "climate.humidity_high"),
    "glue": ("glue.name", "glue.open_minutes", "glue.set_minutes", "glue.bottle", "glue.price"),
}
"""Fields by group, each by its key in the batch file."""

SCREW_FIELDS = ("diameter", "length", "box", "price", "at_hand")

STANDING: dict[str, str] = {
    "shop.saw.kerf": "3 mm",
    "shop.saw.end_trim": "15 mm",
    "shop.saw.shortest_held": "200 mm",
    "shop.rip.kerf": "3 mm",
    "shop.rip.planed_off": "0.5 mm",
    "shop.rip.least": "15 mm",
    "shop.drill.length": "220 mm",
    "shop.drill.chuck_radius": "25 mm",
    "shop.rates.per_hour": "0",
    "shop.rates.overhead": "0",
    "shop.rates.margin": "0",
    "shop.rates.material_waste": "0",
    "price.round_to": "0.01",
    "price.tax": "0",
    "shop.people": "1",
    "shop.hours_a_day": "7",
    "climate.temperature": "20",
    "climate.humidity_low": "40",
    "climate.humidity_now": "55",
    "climate.humidity_high": "65",
    "glue.name": "PVA wood glue",
    "glue.open_minutes": "8",
    "glue.set_minutes": "60",
    "glue.bottle": "500",
}
"""What is taken where a field is left open."""


@router.get("/b/{ident}/shop")
def shop(request: Request, ident: Ident) -> Response:
    """The page."""
    return _shop(request, ident)


def _shop(
    request: Request,
    ident: str,
    *,
    typed: dict[str, str] | None = None,
    wrong: dict[str, list[str]] | None = None,
) -> Response:
    said = fields_of(room_of(request).desk.text(ident))
    return page(
        request,
        "shop.html",
        here="shop",
        currency=shown(said.get("currency", "")),
        groups={
            name: [(key, _at(said, key), STANDING.get(key, "")) for key in keys]
            for name, keys in GROUPS.items()
        },
        region=_at(said, "shop.region"),
        spare=_at(said, "shop.spare"),
        head={
            name: shown(said[name]) if name in said else ""
            for name in ("show", "paper", "currency", "language")
        },
        screws=rows_of(said, "screw", SCREW_FIELDS),
        **stating(request, ident, said, typed=typed, wrong=wrong),
    )


def _at(said: dict[str, Any], key: str) -> str:
    at: Any = said
    for step in key.split("."):
        if not isinstance(at, dict) or step not in at:
            return ""
        at = at[step]
    return shown(at)


@router.post("/b/{ident}/shop")
async def keep_shop(request: Request, ident: Ident) -> Response:
    """Keeps what was typed, if it can be; else tells what is wrong beside each field."""
    fields = await typed_in(request, longest=200)
    try:
        keep(room_of(request), ident, with_values(room_of(request).desk.text(ident), fields), step="")
    except FaultsError as error:
        return _shop(request, ident, typed=fields, wrong=by_field(error.faults))
    return see(f"/b/{ident}/shop")
