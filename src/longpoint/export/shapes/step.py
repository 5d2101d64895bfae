"""Frames as STEP (ISO 10303-242 or 214) solids: one named solid per member, holes bored, in one assembly.

Needs the optional extra ``[step]``; without it, asking for STEP is refused with what to install. A bar is what its
profile pushed along it and its outline from the front pushed through the depth have in common, so that bevel and
mitres come out of the same numbers as every drawing.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from longpoint.drawing.views.section import bar_profile
from longpoint.errors import refuse
from longpoint.export.shapes.laps import lap_boxes
from longpoint.export.shapes.solids import Bore
from longpoint.frame import Frame, FrameDesign, Kind, Member, outline_xy, plates_of
from longpoint.frame.profile import bar_corners

_MOMENT = "2000-01-01T00:00:00"


def step_is_there() -> bool:
    """Whether the optional extra ``[step]`` is installed."""
    return find_spec("OCP") is not None


def step_of(
    frame: Frame, *, name: str, lip_eased: bool = False, bores: Mapping[str, Sequence[Bore]] | None = None
) -> bytes:
    """A frame as a STEP file.

    Args:
        frame: The frame.
        name: Of the assembly.
        lip_eased: Whether the lip is eased; parts lists count it sharp.
        bores: Holes by name of the member.

    Raises:
        FaultsError: If the extra is not installed.
    """
    if not step_is_there():
        what = "Solids as STEP need a part of the program that is not installed."
        raise refuse("step-not-installed", what, "Install it with: pip install 'longpoint[step]'.")
    shapes = [
        (
            member.name,
            member_shape(member, frame.design, lip_eased=lip_eased, bores=(bores or {}).get(member.name, ())),
        )
        for member in (*frame.members, *plates_of(frame))
    ]
    return _written(shapes, name)


def member_shape(
    member: Member, design: FrameDesign, *, lip_eased: bool = False, bores: Sequence[Bore] = ()
) -> Any:
    """One member as a solid of the modelling kernel."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut

    low, high = float(member.back), float(member.front)
    plan = [(float(x), float(y)) for x, y in outline_xy(member, design)]
    if member.kind is Kind.BAR:
        through = _prism([(x, y, low - 1.0) for x, y in plan], (0.0, 0.0, high - low + 2.0))
        shape = BRepAlgoAPI_Common(through, _pushed_profile(member, design, lip_eased)).Shape()
    else:
        shape = _prism([(x, y, low) for x, y in plan], (0.0, 0.0, high - low))
    for (left, bottom, back), (right, top, front) in lap_boxes(member, design):
        corners = [(left, bottom, back), (right, bottom, back), (right, top, back), (left, top, back)]
        shape = BRepAlgoAPI_Cut(shape, _prism(corners, (0.0, 0.0, front - back))).Shape()
    for bore in bores:
        shape = BRepAlgoAPI_Cut(shape, _cylinder(bore)).Shape()
    return _only_solid(shape)


def _pushed_profile(member: Member, design: FrameDesign, lip_eased: bool) -> Any:
    """The bar's section pushed along the whole side."""
    profile = bar_profile(design) if lip_eased else [(float(x), float(z)) for x, z in bar_corners(design)]
    width, height = float(design.width), float(design.height)
    match member.side:
        case "left":
            return _prism([(u, 0.0, z) for u, z in profile], (0.0, height, 0.0))
        case "right":
            return _prism([(width - u, 0.0, z) for u, z in profile], (0.0, height, 0.0))
        case "bottom":
            return _prism([(0.0, u, z) for u, z in profile], (width, 0.0, 0.0))
        case _:
            return _prism([(0.0, height - u, z) for u, z in profile], (width, 0.0, 0.0))


def _prism(corners: Iterable[tuple[float, float, float]], push: tuple[float, float, float]) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Pnt, gp_Vec

    polygon = BRepBuilderAPI_MakePolygon()
    for corner in corners:
        polygon.Add(gp_Pnt(*corner))
    polygon.Close()
    face = BRepBuilderAPI_MakeFace(polygon.Wire()).Face()
    return BRepPrimAPI_MakePrism(face, gp_Vec(*push)).Shape()


def _cylinder(bore: Bore) -> Any:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    along = tuple(b - a for a, b in zip(bore.start, bore.stop, strict=True))
    length = sum(part * part for part in along) ** 0.5
    axis = gp_Ax2(gp_Pnt(*bore.start), gp_Dir(*along))
    return BRepPrimAPI_MakeCylinder(axis, bore.diameter / 2, length).Shape()


def _only_solid(shape: Any) -> Any:
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    explorer = TopExp_Explorer(shape, TopAbs_SOLID)
    cast = TopoDS.Solid_s if hasattr(TopoDS, "Solid_s") else TopoDS.Solid
    return cast(explorer.Current())


def _quiet() -> None:
    """Stops the kernel from writing its own report on the terminal."""
    from OCP.Message import Message, Message_PrinterOStream

    messenger = Message.DefaultMessenger_s()
    messenger.RemovePrinters(Message_PrinterOStream.get_type_descriptor_s())


def _written(shapes: Sequence[tuple[str, Any]], name: str) -> bytes:
    """An assembly of named solids as the bytes of a file, without the moment of writing."""
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.Interface import Interface_Static
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    _quiet()
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    whole = tool.NewShape()
    TDataStd_Name.Set_s(whole, TCollection_ExtendedString(name, True))
    for part_name, shape in shapes:
        label = tool.AddShape(shape, False)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(part_name, True))
        placed = tool.AddComponent(whole, label, TopLoc_Location())
        TDataStd_Name.Set_s(placed, TCollection_ExtendedString(part_name, True))
    tool.UpdateAssemblies()
    writer = STEPCAFControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    writer.SetNameMode(True)
    writer.Transfer(document)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "frame.step"
        if writer.Write(str(path)) != IFSelect_RetDone:
            msg = "the modelling kernel could not write the STEP file"
            raise RuntimeError(msg)
        text = path.read_text(encoding="utf-8", errors="replace")
    # The kernel counts occurrences over the life of the process, and names an author nobody is.
    numbers = iter(range(1, len(shapes) + 1))
    text = re.sub(
        r"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\(')\d+(')", lambda m: f"{m[1]}{next(numbers)}{m[2]}", text
    )
    text = text.replace("('Author')", "('')")
    text = re.sub(r"(FILE_NAME\('[^']*',')[^']*(')", rf"\g<1>{_MOMENT}\g<2>", text, count=1)
    return text.encode("utf-8")
