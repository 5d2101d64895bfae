"""Solids: closed, one piece, and as large as the parts list says; read back by an independent library."""

from __future__ import annotations

import io

import manifold3d
import numpy as np
import pytest
import trimesh

from export.frames import frame_of
from longpoint.export.shapes.gltf import glb_of
from longpoint.export.shapes.solids import Bore, frame_solids, member_solid
from longpoint.frame import Kind, parts_of


@pytest.mark.parametrize(
    ("width", "height", "fall"), [(1707, 1193, 5), (613, 2289, 9), (211, 167, 0), (3011, 1907, 7)]
)
def test_every_member_is_one_closed_solid_with_the_volume_of_its_part(
    width: int, height: int, fall: int
) -> None:
    frame = frame_of(width, height, fall=fall, rails=1, thickness=23)
    parts = parts_of(frame, work="x", code="A", how_many=1)
    volume_of = {name: float(part.volume) for part in parts for name in part.members}
    for solid in frame_solids(frame):
        mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.body_count == 1
        assert solid.volume == pytest.approx(volume_of[solid.name], rel=1e-9)
        assert mesh.volume == pytest.approx(volume_of[solid.name], rel=1e-9)


@pytest.mark.parametrize(("width", "height"), [(1707, 1193), (613, 2289), (811, 811)])
def test_half_laps_are_cut_out_of_both_bars(width: int, height: int) -> None:
    frame = frame_of(width, height, corner="half-lap", fall=6, rails=1, thickness=23, end_rails=False)
    parts = parts_of(frame, work="x", code="A", how_many=1)
    volume_of = {name: float(part.volume) for part in parts for name in part.members}
    solids = frame_solids(frame)
    for solid in solids:
        mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
        assert mesh.is_watertight
        assert solid.volume == pytest.approx(volume_of[solid.name], rel=1e-9)
    # worked by hand: bar 23 x 44, bevel falling 6 beside a flat of 2, so 6 x 21 / 2 = 63 mm² come off the section;
    # a long bar loses its back half over 23 mm at both ends, a short one its front half less the bevel there
    volume = {solid.name: solid.volume for solid in solids}
    long, short = ("top bar", "left bar") if width >= height else ("left bar", "top bar")
    section = 23 * 44 - 63
    assert volume[long] == pytest.approx(max(width, height) * section - 2 * 23 * 23 * 22, rel=1e-9)
    assert volume[short] == pytest.approx(min(width, height) * section - 2 * 23 * (23 * 22 - 63), rel=1e-9)


def test_half_lapped_bars_do_not_run_into_each_other() -> None:
    frame = frame_of(907, 611, corner="half-lap", rails=0, middle=False, end_rails=False)
    bars = [
        manifold3d.Manifold(
            manifold3d.Mesh64(
                np.array(s.vertices, order="C"), np.array(s.triangles, dtype=np.uint64, order="C")
            )
        )
        for s in frame_solids(frame)
    ]
    assert len(bars) == 4
    for i, one in enumerate(bars):
        for other in bars[:i]:
            assert (one ^ other).volume() < 1e-6


def test_a_frame_without_bevel_weighs_what_case_48_says() -> None:
    # by hand: 2.0 x 1.5 m, 60 x 28 mm, mitred -> 0.01136 m3
    frame = frame_of(2000, 1500, fall=0, thickness=60, depth=28, rails=0, middle=False, end_rails=False)
    assert sum(solid.volume for solid in frame_solids(frame)) * 1e-9 == pytest.approx(0.01136, rel=0.002)


def test_members_touch_and_do_not_run_into_each_other() -> None:
    solids = [
        manifold3d.Manifold(
            manifold3d.Mesh64(
                np.array(s.vertices, order="C"), np.array(s.triangles, dtype=np.uint64, order="C")
            )
        )
        for s in frame_solids(frame_of(907, 611, rails=1))
    ]
    for i, one in enumerate(solids):
        for other in solids[:i]:
            assert (one ^ other).volume() < 1e-6


def test_a_hole_takes_its_own_volume_away() -> None:
    frame = frame_of(907, 611, rails=1)
    bar = frame.of_kind(Kind.BAR)[0]
    whole = member_solid(bar, frame.design)
    bored = member_solid(bar, frame.design, bores=[Bore((-1.0, 300.0, -20.0), (30.0, 300.0, -20.0), 6.0)])
    round_area = 32 / 2 * 9.0 * np.sin(2 * np.pi / 32)  # a regular polygon of 32 sides stands for the circle
    assert whole.volume - bored.volume == pytest.approx(round_area * 21.0, rel=1e-9)


def test_gltf_reads_back_with_names_and_volumes_in_metres() -> None:
    frame = frame_of(1707, 1193)
    solids = frame_solids(frame)
    scene = trimesh.load(io.BytesIO(glb_of(solids)), file_type="glb")
    assert set(scene.geometry) == {member.name for member in frame.members}
    for solid in solids:
        mesh = scene.geometry[solid.name]
        assert mesh.is_watertight
        # vertices are single floats in the format
        assert mesh.volume * 1e9 == pytest.approx(solid.volume, rel=1e-6)
        placed = trimesh.transform_points(mesh.vertices, scene.graph.get(solid.name)[0])
        assert placed.min(axis=0) * 1000 == pytest.approx(solid.vertices.min(axis=0), abs=1e-4)
    assert scene.extents == pytest.approx([1.707, 1.193, 0.044], abs=1e-6)


def test_equal_frames_give_equal_files() -> None:
    assert glb_of(frame_solids(frame_of())) == glb_of(frame_solids(frame_of()))
