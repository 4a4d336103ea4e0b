"""``measure`` of a binary STL of 3.5 million triangles against trimesh's load, watertight test, volume and area."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.benchmarks.measuring import Line, child, compared, fastest, times

RUNS = 3
OURS = """
import sys
from moldvol.cli import main
sys.argv[1:] = ["measure", sys.argv[1], "--json"]
main()
"""
PEER = """
import sys, trimesh
mesh = trimesh.load(sys.argv[1])
print(mesh.is_watertight, mesh.volume, mesh.area)
"""
VTK_PEER = """
import sys, pyvista
mesh = pyvista.read(sys.argv[1]).clean()
print(mesh.n_open_edges, mesh.volume, mesh.area)
"""
MANIFOLD_PEER = """
import sys, numpy, stl_reader, manifold3d
vertices, faces = stl_reader.read(sys.argv[1])
solid = manifold3d.Manifold(manifold3d.Mesh(vertices, faces))
print(solid.status(), solid.volume(), solid.surface_area())
"""
MAKE = """
import sys, trimesh
file, major, minor = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
mesh = trimesh.creation.torus(40, 15, major_sections=major, minor_sections=minor)
mesh.export(file)
print(len(mesh.faces))
"""
START = "import sys; from moldvol.cli import commands; from moldvol.cli.running import run; run(commands, ['--help'])"


def run() -> list[Line]:
    """Start-up, then growth over three sizes."""
    start, bare = fastest(RUNS, (START,), ("pass",))
    lines = [
        Line(
            "--help from a cold start",
            f"{start.seconds:.2f} s",
            f"{bare.seconds:.2f} s bare Python",
            times(bare.seconds, start.seconds),
        )
    ]
    with tempfile.TemporaryDirectory() as folder:
        for major, minor in ((280, 125), (900, 390), (2000, 880)):
            file = Path(folder) / f"{major}.stl"
            # Made in a child as well: a large parent's memory would be counted as its children's before they start.
            count = int(child(MAKE, str(file), str(major), str(minor)).output)
            ours, peer = fastest(RUNS, (OURS, str(file)), (PEER, str(file)))
            lines += compared(f"measure, {count:,} triangles", ours, peer, "trimesh")
        ours, vtk, manifold = fastest(1, *((code, str(file)) for code in (OURS, VTK_PEER, MANIFOLD_PEER)))
        lines += compared(f"measure, {count:,} triangles", ours, vtk, "VTK: load, open edges, volume, area")
        lines += compared(f"measure, {count:,} triangles", ours, manifold, "manifold3d: load, status, volume, area")
    return lines
