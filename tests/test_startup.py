"""Start-up is felt at the bench: what needs no mesh loads no array library. Asked of a fresh interpreter."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
HEAVY = {"numpy", "scipy", "trimesh", "igl", "manifold3d", "skimage", "matplotlib"}
PROBE = """
import contextlib, io, json, sys
from moldvol.cli import commands
from moldvol.cli.running import run
with contextlib.redirect_stdout(io.StringIO()) as out, contextlib.redirect_stderr(io.StringIO()) as err:
    status = run(commands, json.loads(sys.argv[1]))
loaded = sorted({name.split(".")[0] for name in sys.modules})
print(json.dumps({"status": status, "err": err.getvalue(), "loaded": loaded}))
"""
WITHOUT_A_MESH = {
    "help": ["--help"],
    "version": ["--version"],
    "help on a command that measures": ["cast", "--help"],
    "the shelf": ["resins"],
    "the shelf as JSON": ["resins", "--json"],
    "a mix": ["mix", "250g", "--resin", "fast-urethane"],
    "a mix as JSON": ["mix", "250g", "--resin", "casting-polyester", "--json"],
    "completion": ["completion", "bash"],
    "a wrong use": ["measure"],
}


def after(code: str, *arguments: str) -> dict:
    ran = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        capture_output=True,
        check=True,
        timeout=60,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    return json.loads(ran.stdout)


@pytest.mark.parametrize("arguments", WITHOUT_A_MESH.values(), ids=WITHOUT_A_MESH)
def test_no_array_library_is_loaded(arguments: list[str]) -> None:
    found = after(PROBE, json.dumps(arguments))
    assert found["status"] == (2 if arguments == ["measure"] else 0), found["err"]
    assert not set(found["loaded"]) & HEAVY


def test_importing_the_package_loads_nothing() -> None:
    code = "import json, sys; import moldvol; print(json.dumps(sorted(sys.modules)))"
    assert {name for name in after(code) if name.startswith("moldvol")} == {"moldvol"}


def test_a_mesh_does_need_them() -> None:
    """The probe would notice."""
    code = "import json, sys; import moldvol; moldvol.read_solid; print(json.dumps(sorted(sys.modules)))"
    assert "numpy" in after(code)
