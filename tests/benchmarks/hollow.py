"""The whole ``hollow`` command on a scan of 70,000 triangles, in a process of its own.

``python -m tests.benchmarks hollow`` prints the rows. The promise: no more time than trimesh's process needs to load
the same file and answer 2,000 signed distances.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import trimesh

from tests.benchmarks.field import SIZES, rough_ring
from tests.benchmarks.measuring import Line, compared, fastest

RUNS = 3
OURS = """
import sys
from moldvol.cli import main
sys.argv[1:] = ["hollow", sys.argv[1], "--wall", "4mm", "--resin", "fast-urethane", "--json"]
main()
"""
PEER = """
import sys, numpy, trimesh
mesh = trimesh.load(sys.argv[1])
points = numpy.random.default_rng(0).uniform(*mesh.bounds, (2000, 3))
trimesh.proximity.signed_distance(mesh, points)
"""


def run() -> list[Line]:
    """Two lines: time and peak memory."""
    scan = rough_ring(*SIZES[0])
    with tempfile.TemporaryDirectory() as folder:
        file = str(Path(folder) / "scan.stl")
        trimesh.Trimesh(scan.vertices, scan.faces, process=False).export(file)
        ours, peer = fastest(RUNS, (OURS, file), (PEER, file))
    what = f"hollow, whole command, {len(scan.faces):,} triangles"
    return compared(what, ours, peer, "trimesh, loading and 2,000 signed distances")
