"""The machine that benchmarks ran on, in a sentence."""

from __future__ import annotations

import os
import platform
from datetime import date
from importlib.metadata import version
from pathlib import Path

LIBRARIES = ("numpy", "scipy", "trimesh", "vtk", "manifold3d", "libigl", "fcpw", "embreex", "stl-reader")


def machine() -> str:
    """Processor, memory, system and the versions of the libraries that take part."""
    libraries = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    return (
        f"Measured on {date.today():%d %B %Y} on {os.cpu_count()} cores of {_processor()} with {_memory_gb():.0f} GB, "
        f"{platform.system()}, Python {platform.python_version()}, {libraries}."
    )


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    except OSError:
        return platform.processor() or platform.machine()
    names = [line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.machine()


def _memory_gb() -> float:
    return os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 1e9
