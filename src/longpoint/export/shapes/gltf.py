"""Solids as binary glTF 2.0: one node per member, named, in metres with y up as the format asks.

The layout of the file is that of the glTF 2.0 specification (ISO/IEC 12113), from memory; the tests read it with a
library that knows the format.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from typing import Any

from numpy.typing import NDArray

from longpoint.export.shapes.solids import Solid

_TONES = {"bar": 196, "end rail": 216, "cross rail": 216, "middle piece": 232}

_WHOLE_NUMBERS = 5125
_SINGLE_FLOATS = 5126


def glb_of(solids: Sequence[Solid], *, name: str = "frame") -> bytes:
    """Solids as a binary glTF file.

    Args:
        solids: Closed solids.
        name: Name of the scene.
    """
    numbers = _Numbers()
    materials: dict[int, int] = {}
    meshes: list[dict[str, Any]] = []
    nodes: list[dict[str, Any]] = []
    for solid in solids:
        # Vertices are single floats in the format: kept near each member's own corner they stay true to a nanometre.
        corner = solid.vertices.min(axis=0)
        vertices = ((solid.vertices - corner) / 1000.0).astype("<f4")
        primitive = {
            "indices": numbers.place(solid.triangles.astype("<u4").reshape(-1, 1), _WHOLE_NUMBERS, "SCALAR"),
            "attributes": {"POSITION": numbers.place(vertices, _SINGLE_FLOATS, "VEC3")},
            "material": materials.setdefault(_tone(solid.name), len(materials)),
        }
        meshes.append({"name": solid.name, "primitives": [primitive]})
        nodes.append(
            {"name": solid.name, "mesh": len(nodes), "translation": [float(x) for x in corner / 1000.0]}
        )
    told = {
        "asset": {"version": "2.0", "generator": "longpoint"},
        "scene": 0,
        "scenes": [{"name": name, "nodes": list(range(len(nodes)))}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": [_material(tone / 255) for tone in materials],
        "accessors": numbers.accessors,
        "bufferViews": numbers.views,
        "buffers": [{"byteLength": len(numbers.data)}],
    }
    text = json.dumps(told, separators=(",", ":"), ensure_ascii=False).encode()
    chunks = _chunk(b"JSON", text + b" " * (-len(text) % 4)) + _chunk(b"BIN\0", bytes(numbers.data))
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


class _Numbers:
    """The numbers of a file one behind the other, equal ones once; all take whole words of four bytes."""

    def __init__(self) -> None:
        self.data = bytearray()
        self.views: list[dict[str, int]] = []
        self.accessors: list[dict[str, Any]] = []
        self._known: dict[tuple[str, bytes], int] = {}

    def place(self, rows: NDArray[Any], component: int, kind: str) -> int:
        """Number of the accessor of these rows."""
        raw = rows.tobytes()
        if (kind, raw) not in self._known:
            self._known[kind, raw] = len(self.accessors)
            self.accessors.append(
                {
                    "bufferView": len(self.views),
                    "componentType": component,
                    "type": kind,
                    "count": len(rows),
                    "min": rows.min(axis=0).tolist(),
                    "max": rows.max(axis=0).tolist(),
                }
            )
            self.views.append({"buffer": 0, "byteOffset": len(self.data), "byteLength": len(raw)})
            self.data += raw
        return self._known[kind, raw]


def _chunk(kind: bytes, contents: bytes) -> bytes:
    return struct.pack("<I4s", len(contents), kind) + contents


def _tone(name: str) -> int:
    return next((value for key, value in _TONES.items() if key in name), 210)


def _material(tone: float) -> dict[str, Any]:
    """Wood in a grey, dull."""
    look = {"baseColorFactor": [tone, tone, tone, 1.0], "metallicFactor": 0.0, "roughnessFactor": 0.9}
    return {"pbrMetallicRoughness": look}
