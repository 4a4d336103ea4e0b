"""What comes out of a mesh file, and how much a file may ask of the machine."""

from __future__ import annotations

from dataclasses import dataclass, field

from moldvol.geometry.mesh import Mesh
from moldvol.notices import Notice


@dataclass(frozen=True, slots=True)
class MeshPart:
    """One body, object or group as the file names it; coordinates in the file's unit with every transform applied.

    Coordinates may be NaN or infinite where the file says so: what becomes of such triangles is decided later.
    """

    name: str
    mesh: Mesh


@dataclass(frozen=True, slots=True)
class MeshFile:
    """A whole mesh file: its parts in their order.

    ``unit`` is a key of `moldvol.geometry.units.MM_PER_UNIT` when the file states one. ``welded`` is true where
    corners at the same place are already one vertex.
    """

    name: str
    format: str
    parts: tuple[MeshPart, ...]
    unit: str | None
    welded: bool
    notices: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class ReadingLimits:
    """Guards against files that unpack to far more than they are: generous, and open to whoever knows the file."""

    inflated_bytes: int = 2 << 30
    inflation_ratio: float = 200.0
    archive_entries: int = 10_000
    placed_parts: int = 100_000
    placed_triangles: int = 100_000_000
    stream_bytes: int = 4 << 30


@dataclass(slots=True)
class Found:
    """What one format's reader hands to the door: parts, and what it learned on the way."""

    parts: list[MeshPart]
    unit: str | None = None
    welded: bool = False
    notices: list[Notice] = field(default_factory=list)

    def note(self, code: str, message: str) -> None:
        """Add a remark for the reader of the result."""
        self.notices.append(Notice(code, message))
