"""STEP: refused kindly without the extra; with it, one valid closed solid per part with the part's volume."""

from __future__ import annotations

from pathlib import Path

import pytest

from export.frames import frame_of
from longpoint.errors import FaultsError
from longpoint.export.shapes.solids import Bore
from longpoint.export.shapes.step import step_is_there, step_of
from longpoint.frame import parts_of

needs_kernel = pytest.mark.skipif(not step_is_there(), reason="the extra [step] is not installed")


@pytest.mark.skipif(step_is_there(), reason="the extra [step] is installed")
def test_without_the_extra_the_user_is_told_what_to_install() -> None:
    with pytest.raises(FaultsError, match=r"pip install 'longpoint\[step\]'"):
        step_of(frame_of(), name="x")


@needs_kernel
@pytest.mark.slow
@pytest.mark.parametrize(("width", "height", "corner"), [(1707, 1193, "mitre"), (613, 2289, "half-lap")])
def test_every_member_reads_back_as_one_valid_solid_of_its_parts_volume(
    tmp_path: Path, width: int, height: int, corner: str
) -> None:
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.STEPControl import STEPControl_Reader
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer

    frame = frame_of(width, height, corner=corner, rails=2, fall=7)
    path = tmp_path / "frame.step"
    path.write_bytes(step_of(frame, name="Größe"))
    reader = STEPControl_Reader()
    reader.ReadFile(str(path))
    reader.TransferRoots()
    shape = reader.OneShape()
    volumes = []
    explorer = TopExp_Explorer(shape, TopAbs_SOLID)
    while explorer.More():
        solid = explorer.Current()
        assert BRepCheck_Analyzer(solid).IsValid()
        found = GProp_GProps()
        BRepGProp.VolumeProperties_s(solid, found)
        volumes.append(found.Mass())
        explorer.Next()
    parts = parts_of(frame, work="x", code="A", how_many=1)
    wanted = [float(part.volume) for part in parts for _ in part.members]
    assert sorted(volumes) == pytest.approx(sorted(wanted), rel=1e-6)
    assert len(volumes) == len(frame.members)
    text = path.read_text()
    for member in frame.members:
        assert f"'{member.name}'" in text


@needs_kernel
@pytest.mark.slow
def test_equal_frames_give_equal_bytes_and_holes_are_bored() -> None:
    frame = frame_of(907, 611, rails=1)
    bores = {"left bar": [Bore((-1.0, 300.0, -20.0), (30.0, 300.0, -20.0), 6.0)]}
    assert step_of(frame, name="a", bores=bores) == step_of(frame, name="a", bores=bores)
    assert b"CYLINDRICAL_SURFACE" in step_of(frame, name="a", bores=bores)
