"""Write the sample meshes: `python -m sample_meshes.make_samples [folder]` (default: this folder).

Every file comes from our own shapes and is the same on every run. README.md says what each is there to show.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import numpy as np
import trimesh

from sample_meshes import carnival_half_mask, lantern_bracket, owl, puppet_hand, rocking_horse, tray_mould
from sample_meshes.mesh_files import Placed, write_3mf, write_obj, write_ply, write_stl
from sample_meshes.quads import gathered_flat, quad_surface
from sample_meshes.rough_scan import rough_scan
from sample_meshes.surfaces import cut_flat, depth_below, largest_body, level_mesh, mesh_of, meshed, sampled, solid
from sample_meshes.thinning import thinned

MM_PER_INCH = 25.4
UP = (0, 0, 1)
OWL_STEP = 0.5  # mm between samples: the barbs of the facial discs are 1.5 mm wide
PRINT_WALL, DRAIN_DIAMETER, DRAIN_REACH = 2.5, 3.5, 9.0  # mm; two drain holes, left and right of the middle


@lru_cache(maxsize=1)
def _fine_owl() -> trimesh.Trimesh:
    """A quarter of a million triangles, base cut flat."""
    return largest_body(cut_flat(meshed(owl.owl, owl.LOW, owl.HIGH, OWL_STEP), UP, 0))


def owl_finial(path: Path) -> None:
    write_stl(path, thinned(_fine_owl(), 28_000))


def owl_scan(path: Path) -> None:
    scan = rough_scan(thinned(_fine_owl(), 22_000))
    write_ply(path, scan.vertices, scan.faces)


def hollow_owl(path: Path) -> None:
    """The finial with a cavity one print wall below its surface and two holes up into it from the base."""
    outside = solid(thinned(_fine_owl(), 20_000))
    drains = [
        trimesh.creation.cylinder(DRAIN_DIAMETER / 2, segment=[(x, 0, -1), (x, 0, PRINT_WALL + 2)], sections=24)
        for x in (-DRAIN_REACH, DRAIN_REACH)
    ]
    shell = outside - solid(thinned(_owl_cavity(), 7_000))
    for drain in drains:
        shell -= solid(drain)
    write_stl(path, mesh_of(shell))


def _owl_cavity() -> trimesh.Trimesh:
    """What lies deeper than the print wall; small pockets in the claws and tufts stay solid."""
    step = 0.8
    grid, origin = sampled(owl.owl, owl.LOW, owl.HIGH, step)
    depth = depth_below(_fine_owl(), grid, origin, step, upto=PRINT_WALL + 3 * step)
    heights = origin[2] + step * np.arange(grid.shape[2])
    return largest_body(level_mesh(np.maximum(depth, -heights), origin, step, level=-PRINT_WALL))


def half_mask(path: Path) -> None:
    mask = meshed(carnival_half_mask.carnival_half_mask, carnival_half_mask.LOW, carnival_half_mask.HIGH, 0.7)
    write_stl(path, thinned(largest_body(mask), 18_000))


def hand(path: Path) -> None:
    whole = meshed(puppet_hand.puppet_hand, puppet_hand.LOW, puppet_hand.HIGH, 0.45)
    write_stl(path, thinned(largest_body(cut_flat(whole, UP, 0)), 12_000))


def tray(path: Path) -> None:
    write_stl(path, thinned(meshed(tray_mould.tray_mould, tray_mould.LOW, tray_mould.HIGH, 0.5), 17_000))


def bracket(path: Path) -> None:
    """Quadrilaterals in four groups; the flat back in larger polygons."""
    shape = lantern_bracket
    points, quads = quad_surface(shape.lantern_bracket, shape.LOW, shape.HIGH, 1.3)
    polygons = gathered_flat(points, quads, axis=1, level=0.0, block=5.2)
    parts = {
        "back_plate": shape.back_plate,
        "arm": shape.arm,
        "stay": shape.stay,
        "lantern_ring": shape.lantern_ring,
    }
    middles = np.array([points[list(polygon)].mean(axis=0) for polygon in polygons])
    nearest = np.argmin([part(middles) for part in parts.values()], axis=0)
    groups = {
        name: [polygon for polygon, owner in zip(polygons, nearest, strict=True) if owner == number]
        for number, name in enumerate(parts)
    }
    used, groups = _renumbered(groups)
    write_obj(path, points[used] / MM_PER_INCH, groups, "Lantern bracket. Unit: inch.")


def _renumbered(groups: dict[str, list[tuple[int, ...]]]) -> tuple[np.ndarray, dict[str, list[tuple[int, ...]]]]:
    used = np.unique([corner for polygons in groups.values() for polygon in polygons for corner in polygon])
    name_of = {int(old): new for new, old in enumerate(used)}
    return used, {
        name: [tuple(name_of[corner] for corner in polygon) for polygon in polygons]
        for name, polygons in groups.items()
    }


def two_figures(path: Path) -> None:
    shape = rocking_horse
    horse = thinned(meshed(shape.horse, shape.HORSE_LOW, shape.HORSE_HIGH, 0.7), 15_000)
    rider = thinned(meshed(shape.rider, shape.RIDER_LOW, shape.RIDER_HIGH, 0.55), 11_000)
    write_3mf(path, [Placed("rocking horse", horse), Placed("jester", rider, shape.SEAT)])


MAKERS: dict[str, Callable[[Path], None]] = {
    "owl_finial.stl": owl_finial,
    "owl_scan.ply": owl_scan,
    "hollow_owl_with_drain.stl": hollow_owl,
    "carnival_half_mask.stl": half_mask,
    "lantern_bracket_inches.obj": bracket,
    "puppet_hand.stl": hand,
    "tray_mould.stl": tray,
    "two_figures.3mf": two_figures,
}


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for name, make in MAKERS.items():
        make(folder / name)
        print(f"{name}: {(folder / name).stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
