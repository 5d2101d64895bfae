"""Packing: what lies in which pack, its cut list and boards, what carriers count, what fits the van."""

from __future__ import annotations

from collections import Counter

from longpoint.cutting.boards.values import millimetres
from longpoint.drawing.paper.marks import Layer, Mark, Pen, Text, rectangle
from longpoint.drawing.paper.pages import (
    Block,
    Bullets,
    CautionBox,
    Column,
    Drawing,
    Heading,
    Page,
    Paragraph,
    Table,
)
from longpoint.drawing.paper.view import View, view_of
from longpoint.drawing.words.voice import Voice
from longpoint.model.batch import Batch
from longpoint.needs.packing import PackedAlike, Packs, PackTimber, divisor_of, marked

_ROOM = (120.0, 34.0)
_COVER = Pen(0.5)


def packing_page(packs: Packs, codes: dict[str, str], *, batch: Batch, say: Voice) -> Page:
    """The packing sheet.

    Args:
        packs: The packs.
        codes: Marks of the works by their names.
        batch: What is stated.
        say: How the sheet speaks.
    """
    blocks: list[Block] = [_packs_table(packs, codes, batch, say)]
    for loaded in packs.loaded:
        blocks.append(
            Paragraph(
                say(
                    "packing.loaded" if loaded.fits == loaded.of else "packing.not-loaded",
                    space=loaded.space,
                    way=loaded.way,
                    fits=loaded.fits,
                    of=loaded.of,
                    left=say.kept(loaded.left, unit=True),
                )
            )
        )
    first = max(packs.alike, key=lambda one: len(one.works[0]))
    blocks.append(
        Drawing(_section(first, codes, batch, say), say("packing.section-caption", mark=first.mark))
    )
    blocks += [Heading(say("packing.cut-list", unit=say.unit), 2), _cut_list(packs, batch, say)]
    for timber in packs.timber:
        blocks.append(Paragraph(_boards(timber, say), "small"))
    blocks += [
        Bullets((say("packing.rule-1"), say("packing.rule-2")), "small"),
        CautionBox(say("sheet.caution"), (say("packing.caution"),)),
    ]
    return Page(
        "packing",
        say("section-name.wall"),
        say("packing.title"),
        tuple(blocks),
        lead=say("packing.lead"),
        flows=True,
    )


def _packs_table(packs: Packs, codes: dict[str, str], batch: Batch, say: Voice) -> Table:
    rows = []
    for one in packs.alike:
        stated = batch.packing[one.packing]
        inside = Counter(" | ".join(codes[name] for name in group) for group in one.works)
        works = ", ".join(words if count == 1 else f"{words} × {count}" for words, count in inside.items())
        rows.append(
            (
                one.mark if one.how_many == 1 else f"{one.mark} × {one.how_many}",
                say(f"packing.{stated.kind.replace(' ', '-')}"),
                works,
                " × ".join(say.whole(side) for side in one.pack.outside),
                say.mass(one.pack.mass),
                say("packing.counted", mass=say.mass(one.counted), divisor=_divisor(batch, one, say)),
                say("leave.yes") if not one.stops else say("leave.no"),
            )
        )
    heads = ("mark", "kind", "works", "outside", "mass", "counts", "leaves")
    units = {"outside": say.unit, "mass": say.mass_unit, "counts": say.mass_unit}
    kept = [n for n, head in enumerate(heads) if head != "leaves" or batch.way]
    columns = [
        Column(
            say(f"packing.{head}", unit=units.get(head, "")),
            "end" if head in ("outside", "mass", "counts") else "start",
            share=1.0 if head == "works" else None,
            strong=head == "mark",
        )
        for head in heads
    ]
    return Table(
        tuple(columns[n] for n in kept), tuple(tuple(row[n] for n in kept) for row in rows), close=True
    )


def _divisor(batch: Batch, one: PackedAlike, say: Voice) -> str:
    divisor = divisor_of(batch, batch.packing[one.packing])
    if say.lengths.system == "in":
        return say.number(divisor / (25.4**3 / 1000 / 0.45359237))
    return say.number(divisor)


def _cut_list(packs: Packs, batch: Batch, say: Voice) -> Table:
    rows = []
    for one in packs.alike:
        for mark, piece in marked(one.mark, one.pack.timber):
            rows.append(
                (
                    mark,
                    say(f"packing.part-{piece.what.replace(' ', '-')}"),
                    say.part(piece.length),
                    str(piece.how_many * one.how_many),
                )
            )
        for sheet in one.pack.sheets:
            size = f"{say.part(sheet.length)} × {say.part(sheet.width)}"
            what = say(f"packing.part-{sheet.what.replace(' ', '-')}")
            if batch.packing[one.packing].kind == "sleeve":
                what = say("packing.part-cardboard")
            rows.append((one.mark, what, size, str(sheet.how_many * one.how_many)))
    return Table(
        (
            Column(say("packing.mark", unit=""), strong=True),
            Column(say("packing.piece"), share=1.0),
            Column(say("packing.size", unit=say.unit), "end"),
            Column(say("packing.count"), "end"),
        ),
        tuple(rows),
        tick=True,
        close=True,
        size="small",
    )


def _boards(timber: PackTimber, say: Voice) -> str:
    found = Counter(
        (millimetres(board.length), " + ".join(cut.part for cut in board.cuts))
        for board in timber.plan.boards
    )
    section = f"{say.fine(timber.section.thickness)} × {say.fine(timber.section.depth, unit=True)}"
    listed = "; ".join(f"{count} × {say.length(length)}: {parts}" for (length, parts), count in found.items())
    return say("packing.boards", section=section, boards=listed)


def _section(one: PackedAlike, codes: dict[str, str], batch: Batch, say: Voice) -> View:
    """A pack cut across: covers, works, what is kept between them."""
    stated = batch.packing[one.packing]
    width, _, depth = one.pack.outside
    inside, _, deep = one.pack.inside
    scale = min(_ROOM[0] / width, _ROOM[1] / depth)
    marks: list[Mark] = [
        rectangle((0.0, 0.0), (width * scale, depth * scale), layer=Layer.OUTLINE, pen=_COVER),
        rectangle(
            ((width - inside) / 2 * scale, (depth - deep) / 2 * scale),
            ((width + inside) / 2 * scale, (depth + deep) / 2 * scale),
            layer=Layer.EDGE,
        ),
    ]
    names = one.works[0]
    depths = one.depths
    at = (depth - deep) / 2
    for number, name in enumerate(names):
        backed = number % 2 == 0
        at += float(stated.back) if backed else float(stated.clearance)
        low, high = at * scale, (at + depths[number]) * scale
        across = one.widths[number]
        left = (width - across) / 2 * scale
        marks.append(rectangle((left, low), (left + across * scale, high), layer=Layer.EDGE, fill=0.86))
        marks.append(
            Text(
                (left - 1.5, (low + high) / 2),
                codes[name],
                across="end",
                upright="middle",
                backed=True,
            )
        )
        at += depths[number]
    return view_of(f"packing-{one.mark}", marks, scale=scale)
