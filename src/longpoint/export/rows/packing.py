"""Rows of ``plan.json`` about packing."""

from __future__ import annotations

from pydantic import Field

from longpoint.cutting.boards.values import millimetres
from longpoint.export.rows.row import Row, mm
from longpoint.handling.packing import Pieces
from longpoint.model.batch import Batch
from longpoint.needs.packing import PackedAlike, Packs, divisor_of, marked


class PieceRow(Row):
    """Pieces of one size of one pack."""

    mark: str = Field(description="Of battens; empty for sheets, which the shop cuts.")
    what: str
    length: float = Field(description="[mm]")
    width: float = Field(description="Of a sheet; 0 for timber [mm].")
    how_many: int


class PackRow(Row):
    """Packs of one size."""

    packing: str
    kind: str
    how_many: int
    works: list[list[str]] = Field(description="What lies in each, first and second face to face.")
    inside: list[float] = Field(description="Clear width, height and depth [mm].")
    outside: list[float] = Field(description="[mm]")
    mass: float = Field(description="Of one, full. Estimate [kg].")
    divisor: float = Field(description="[cm³/kg]")
    dimensional_mass: float = Field(description="Volume over divisor [kg].")
    counted: float = Field(description="The greater of the two [kg].")
    does_not_pass: list[str] = Field(description="Names of ways that it does not pass.")
    timber: list[PieceRow]
    sheets: list[PieceRow]


class PackBoardRow(Row):
    """A board that battens are cut from."""

    section: str
    board: str
    length: float
    parts: list[str] = Field(description="Marks from left to right.")


class LoadRow(Row):
    """What stands upright in a load space."""

    way: str
    space: str
    fits: int = Field(description="Packs for which a place was found; laid otherwise more may fit.")
    of: int
    left: float = Field(description="Width left beside the widest row [mm].")


class PacksRow(Row):
    """How works are packed."""

    packs: list[PackRow]
    boards: list[PackBoardRow]
    loaded: list[LoadRow]


def packs_row(packs: Packs, batch: Batch) -> PacksRow:
    """How works are packed as a row."""
    return PacksRow(
        packs=[_pack(one, batch) for one in packs.alike],
        boards=[
            PackBoardRow(
                section=timber.problem.section,
                board=board.board,
                length=mm(millimetres(board.length)),
                parts=[cut.part for cut in board.cuts],
            )
            for timber in packs.timber
            for board in timber.plan.boards
        ],
        loaded=[
            LoadRow(way=one.way, space=one.space, fits=one.fits, of=one.of, left=mm(one.left))
            for one in packs.loaded
        ],
    )


def _pack(one: PackedAlike, batch: Batch) -> PackRow:
    stated = batch.packing[one.packing]
    return PackRow(
        packing=stated.name,
        kind=stated.kind,
        how_many=one.how_many,
        works=[list(group) for group in one.works],
        inside=[mm(side) for side in one.pack.inside],
        outside=[mm(side) for side in one.pack.outside],
        mass=round(one.pack.mass, 2),
        divisor=round(divisor_of(batch, stated), 2),
        dimensional_mass=round(one.by_size, 2),
        counted=round(one.counted, 2),
        does_not_pass=list(one.stops),
        timber=[_piece(mark, piece) for mark, piece in marked(one.mark, one.pack.timber)],
        sheets=[_piece("", piece) for piece in one.pack.sheets],
    )


def _piece(mark: str, piece: Pieces) -> PieceRow:
    return PieceRow(
        mark=mark, what=piece.what, length=mm(piece.length), width=mm(piece.width), how_many=piece.how_many
    )
