"""Solids as binary glTF 2.0: one node per member, named, in metres with y up as the format asks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from longpoint.export.shapes.solids import Solid

if TYPE_CHECKING:
    import trimesh

_TONES = {"bar": 196, "end rail": 216, "cross rail": 216, "middle piece": 232}


def glb_of(solids: Sequence[Solid], *, name: str = "frame") -> bytes:
    """Solids as a binary glTF file.

    Args:
        solids: Closed solids.
        name: Name of the scene.
    """
    import trimesh  # heavy, and only files of a plan need it

    scene = trimesh.Scene(base_frame=name)
    for solid in solids:
        # Vertices are single floats in the format: kept near each member's own corner they stay true to a nanometre.
        corner = solid.vertices.min(axis=0)
        mesh = mesh_of(Solid(solid.name, solid.vertices - corner, solid.triangles))
        tone = next((value for key, value in _TONES.items() if key in solid.name), 210)
        mesh.visual = trimesh.visual.TextureVisuals(
            material=trimesh.visual.material.PBRMaterial(
                baseColorFactor=[tone, tone, tone, 255], metallicFactor=0.0, roughnessFactor=0.9
            )
        )
        scene.add_geometry(
            mesh,
            node_name=solid.name,
            geom_name=solid.name,
            transform=trimesh.transformations.translation_matrix(corner / 1000.0),
        )
    return bytes(scene.export(file_type="glb"))


def mesh_of(solid: Solid) -> trimesh.Trimesh:
    """A solid as a mesh in metres."""
    import trimesh

    return trimesh.Trimesh(
        vertices=np.asarray(solid.vertices) / 1000.0, faces=solid.triangles, process=False, validate=False
    )
