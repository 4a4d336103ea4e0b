"""Filleted bodies and their inner parallel bodies by a CAD kernel, where one is installed; it is never asked for.

The kernel is Open CASCADE in the PyPI package cadquery-ocp-novtk: 66 MB to fetch and 390 MB unpacked, which is why
``pip install moldvol[test]`` does not bring it along. Its bodies are exact (planes, cylinders, tori), and so are their
offsets and the volumes integrated over them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from importlib.util import find_spec
from typing import Any

import numpy as np

from moldvol.geometry.mesh import Mesh
from moldvol.geometry.soundness.welding import compacted, drop_repeated_corners, weld

NOT_INSTALLED = "no CAD kernel is installed; `pip install cadquery-ocp-novtk` (66 MB) to run this check"
DEFLECTION_MM, DEFLECTION_RAD = 0.01, 0.05
Shape = Any  # the kernel ships no types


def is_installed() -> bool:
    return find_spec("OCP") is not None


def filleted_box(x: float, y: float, z: float, radius: float) -> Shape:
    """A box with all its edges rounded."""
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox

    return _filleted(BRepPrimAPI_MakeBox(x, y, z).Shape(), radius, lambda edge: True)


def filleted_cylinder(radius: float, height: float, rounding: float) -> Shape:
    """A cylinder with both rims rounded."""
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder

    return _filleted(BRepPrimAPI_MakeCylinder(radius, height).Shape(), rounding, _is_circle)


def box_with_a_boss(foot: float, rim: float) -> Shape:
    """A box of 60 × 40 × 20 mm with a round boss of 24 mm, 25 mm high on it, its foot and its upper rim rounded."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    base = BRepPrimAPI_MakeBox(60.0, 40.0, 20.0).Shape()
    boss = BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(30, 20, 15), gp_Dir(0, 0, 1)), 12.0, 30.0).Shape()
    both = BRepAlgoAPI_Fuse(base, boss).Shape()
    with_foot = _filleted(both, foot, lambda edge: _is_circle(edge) and edge.Circle().Location().Z() < 30)
    return _filleted(with_foot, rim, lambda edge: _is_circle(edge) and edge.Circle().Location().Z() > 30)


def volume_mm3(shape: Shape) -> float:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    return float(properties.Mass())


def shell_mm3(shape: Shape, wall_mm: float) -> float:
    """The body less its inner parallel body."""
    from OCP.BRepOffset import BRepOffset_Skin
    from OCP.BRepOffsetAPI import BRepOffsetAPI_MakeOffsetShape
    from OCP.GeomAbs import GeomAbs_Arc

    offset = BRepOffsetAPI_MakeOffsetShape()
    offset.PerformByJoin(shape, -wall_mm, 1e-4, BRepOffset_Skin, False, False, GeomAbs_Arc)
    assert offset.IsDone()
    return volume_mm3(shape) - volume_mm3(offset.Shape())


def mesh_of(shape: Shape) -> Mesh:
    """The body in triangles, nowhere further than a hundredth of a millimetre from it."""
    from OCP.BRepMesh import BRepMesh_IncrementalMesh

    BRepMesh_IncrementalMesh(shape, DEFLECTION_MM, False, DEFLECTION_RAD, True)
    points: list[np.ndarray] = []
    faces: list[np.ndarray] = []
    count = 0
    for face_points, face_triangles in map(_triangles, _faces(shape)):
        points.append(face_points)
        faces.append(face_triangles + count)
        count += len(face_points)
    # Faces of the kernel meet at the same points, but for the last digits.
    soup = Mesh.of(np.concatenate(points).round(9), np.concatenate(faces))
    return compacted(drop_repeated_corners(weld(soup))[0])


def _triangles(face: Any) -> tuple[np.ndarray, np.ndarray]:
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_REVERSED
    from OCP.TopLoc import TopLoc_Location

    place = TopLoc_Location()
    net = BRep_Tool.Triangulation_s(face, place)
    nodes = [net.Node(i).Transformed(place.Transformation()) for i in range(1, net.NbNodes() + 1)]
    corners = np.array([net.Triangle(i).Get() for i in range(1, net.NbTriangles() + 1)]) - 1
    turned_over = face.Orientation() == TopAbs_REVERSED
    return np.array([(p.X(), p.Y(), p.Z()) for p in nodes]), corners[:, ::-1] if turned_over else corners


def _faces(shape: Shape) -> Iterator[Any]:
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopoDS import TopoDS

    return map(TopoDS.Face_s if hasattr(TopoDS, "Face_s") else TopoDS.Face, _explored(shape, TopAbs_FACE))


def _explored(shape: Shape, kind: Any) -> list[Any]:
    """Every sub-shape of a *kind*, once."""
    from OCP.TopExp import TopExp_Explorer

    found: list[Any] = []
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        current = explorer.Current()
        if not any(current.IsSame(known) for known in found):
            found.append(current)
        explorer.Next()
    return found


def _filleted(shape: Shape, radius: float, chosen: Callable[[Any], bool]) -> Shape:
    """*shape* with those of its edges rounded whose curve is *chosen*."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopoDS import TopoDS

    edge_of = TopoDS.Edge_s if hasattr(TopoDS, "Edge_s") else TopoDS.Edge
    fillet = BRepFilletAPI_MakeFillet(shape)
    for edge in map(edge_of, _explored(shape, TopAbs_EDGE)):
        if chosen(BRepAdaptor_Curve(edge)):
            fillet.Add(radius, edge)
    fillet.Build()
    return fillet.Shape()


def _is_circle(curve: Any) -> bool:
    from OCP.GeomAbs import GeomAbs_Circle

    return curve.GetType() == GeomAbs_Circle
