"""Every file of sample_meshes/ through trimesh, VTK and manifold3d.

trimesh and VTK read the file with readers of their own, except 3MF, whose XML is read here and handed to all three;
manifold3d reads no files and gets what trimesh read. Figures are in mm: the bracket is in inches, the scan in metres.
No sample has a room closed on all sides, so the volume of the material is also that of the outer skin.

Not everything can be compared. The bracket is made of polygons. VTK divides those that are not flat along other
diagonals than we and trimesh do; and trimesh fans those that are not convex, which leaves their volume as it is but
makes their area too large, so that area is held against VTK alone. The scan is open, where none of the three has a
volume: it is closed by pymeshfix first. Of the two figures that overlap only manifold3d makes one body.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from pathlib import Path

from moldvol.geometry.judging import read_solid
from moldvol.geometry.solid import Solid, SolidRequest
from tests.libraries import (
    Measured,
    by_manifold,
    by_trimesh,
    by_vtk,
    closed_by_meshfix,
    of_manifold,
    read_by_trimesh,
    read_by_vtk,
    united,
)
from tests.shapes import from_trimesh
from tests.test_sample_meshes import FOLDER, MESH_SUFFIXES, objects_of_3mf
from tests.verification.checks import Check, Grade, Group, Stated, Tolerance, rel
from tests.verification.held import each_holds

MM_PER_UNIT = {"mm": 1.0, "in": 25.4, "m": 1000.0}
SAME_TRIANGLES = rel(1e-6)
# In the tray's flat bottom two triangles lie over each other; manifold3d turns their diagonal: 8e-5 of the area.
SAME_SKIN = rel(1e-4)
OTHER_DIAGONALS = rel(1e-3)
OTHER_FILLING = rel(1e-3)
TWO_FIGURES = "two_figures.3mf"

by_others = partial(Check, grade=Grade.PROGRAM)


@cache
def ours(name: str, unit: str = "mm", part: str | None = None) -> Solid:
    return read_solid(FOLDER / name, SolidRequest(unit=unit, part=part))


def stated(found: Solid) -> Stated:
    return Stated.of((found.volume_mm3, found.volume_error_mm3))


@cache
def by_three(path: Path) -> tuple[Measured, Measured, Measured]:
    """The file by trimesh, VTK and manifold3d, in its own unit."""
    mesh, surface = read_by_trimesh(path), read_by_vtk(path)
    return by_trimesh(mesh), Measured(surface.volume, surface.area), by_manifold(mesh)


def file(
    name: str, unit: str = "mm", same_volume: Tolerance = SAME_TRIANGLES, source: str = "trimesh, VTK, manifold3d"
) -> Check:
    mm = MM_PER_UNIT[unit]
    return by_others(
        name=f"{name}: volume",
        source=source,
        expected=lambda: [judge.volume * mm**3 for judge in by_three(FOLDER / name)],
        unit="mm³",
        got=lambda: stated(ours(name, unit)),
        allowed=same_volume,
    )


def area(
    name: str, expected: Callable[[], list[float]], source: str, unit: str = "mm", allowed: Tolerance = SAME_SKIN
) -> Check:
    return by_others(
        name=f"{name}: area",
        source=source,
        expected=expected,
        unit="mm²",
        got=lambda: ours(name, unit).area_mm2,
        allowed=allowed,
    )


def closed_stl(name: str) -> tuple[Check, Check]:
    three = "trimesh, VTK, manifold3d"
    return file(name), area(name, lambda: [judge.area for judge in by_three(FOLDER / name)], three)


@cache
def closed_scan() -> tuple[Measured, ...]:
    """The scan closed by pymeshfix, in mm."""
    mesh = closed_by_meshfix(read_by_trimesh(FOLDER / "owl_scan.ply").scaled(1000))
    return tuple(judge(mesh) for judge in (by_trimesh, by_vtk, by_manifold))


def figure(number: int, name: str) -> tuple[Check, Check]:
    """One of the two bodies of the 3MF file, as its build item places it."""

    @cache
    def by_three_of_body() -> list[Measured]:
        body = from_trimesh(objects_of_3mf(FOLDER / TWO_FIGURES)[number - 1])
        return [judge(body) for judge in (by_trimesh, by_vtk, by_manifold)]

    of_body = partial(by_others, source="trimesh, VTK, manifold3d; XML read here", allowed=SAME_TRIANGLES)
    return (
        of_body(
            name=f"{TWO_FIGURES}, the {name} alone: volume",
            expected=lambda: [judge.volume for judge in by_three_of_body()],
            unit="mm³",
            got=lambda: stated(ours(TWO_FIGURES, part=str(number))),
        ),
        of_body(
            name=f"{TWO_FIGURES}, the {name} alone: area",
            expected=lambda: [judge.area for judge in by_three_of_body()],
            unit="mm²",
            got=lambda: ours(TWO_FIGURES, part=str(number)).area_mm2,
        ),
    )


@cache
def figures_as_one() -> Measured:
    return of_manifold(united(from_trimesh(body) for body in objects_of_3mf(FOLDER / TWO_FIGURES)))


GROUP = Group(
    "Sample meshes",
    __doc__,
    (
        *closed_stl("owl_finial.stl"),
        *closed_stl("hollow_owl_with_drain.stl"),
        *closed_stl("carnival_half_mask.stl"),
        *closed_stl("puppet_hand.stl"),
        *closed_stl("tray_mould.stl"),
        file(
            "lantern_bracket_inches.obj",
            "in",
            OTHER_DIAGONALS,
            "trimesh, VTK (polygons divided along other diagonals), manifold3d",
        ),
        area(
            "lantern_bracket_inches.obj",
            lambda: [by_three(FOLDER / "lantern_bracket_inches.obj")[1].area * 25.4**2],
            "VTK (polygons divided along other diagonals)",
            "in",
            OTHER_DIAGONALS,
        ),
        by_others(
            name="owl_scan.ply, its four rims closed: volume",
            source="closed by pymeshfix; then trimesh, VTK, manifold3d",
            expected=lambda: [judge.volume for judge in closed_scan()],
            unit="mm³",
            got=lambda: stated(ours("owl_scan.ply", "m")),
            allowed=OTHER_FILLING,
        ),
        by_others(
            name="owl_scan.ply, its four rims closed: area",
            source="closed by pymeshfix; then trimesh, VTK, manifold3d",
            expected=lambda: [judge.area for judge in closed_scan()],
            unit="mm²",
            got=lambda: ours("owl_scan.ply", "m").area_mm2,
            allowed=OTHER_FILLING,
        ),
        *figure(1, "rocking horse"),
        *figure(2, "jester"),
        by_others(
            name=f"{TWO_FIGURES}, what belongs to both counted once: volume",
            source="manifold3d's union",
            expected=lambda: figures_as_one().volume,
            unit="mm³",
            got=lambda: stated(ours(TWO_FIGURES)),
            allowed=SAME_TRIANGLES,
        ),
        by_others(
            name=f"{TWO_FIGURES}, what belongs to both counted once: area",
            source="manifold3d's union",
            expected=lambda: figures_as_one().area,
            unit="mm²",
            got=lambda: ours(TWO_FIGURES).area_mm2,
            allowed=SAME_TRIANGLES,
        ),
    ),
)
test_sample_meshes = each_holds(GROUP)


def test_no_sample_is_left_out() -> None:
    told = {check.name.split(":")[0].split(",")[0] for check in GROUP.checks}
    assert told == {path.name for path in FOLDER.iterdir() if path.suffix in MESH_SUFFIXES}
