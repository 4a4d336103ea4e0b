"""Which mesh files are meant: those named, and those in the folders named, in an order that stays the same."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from moldvol.cli.types import ENDINGS_OF_MESHES
from moldvol.errors import MeshError, UnreadableMesh


@dataclass(frozen=True, slots=True)
class Meant:
    """A file as it was named or found; *trouble* where a folder could not be looked into."""

    name: str
    trouble: MeshError | None = None


def files_meant(names: Sequence[str], *, recursive: bool) -> tuple[Meant, ...]:
    """Each file once: those of *names* that are no folders as they are, and the meshes in folders by name.

    With *recursive* folders are searched to the bottom. Hidden files, links to folders and what does not end like a
    mesh are passed over.
    """
    once: dict[str, Meant] = {}
    for name in names:
        for meant in _found_in(name, recursive) if os.path.isdir(name) else (Meant(name),):  # noqa: PTH112  any bytes
            once.setdefault(os.path.abspath(meant.name), meant)  # noqa: PTH100  links stay links
    return tuple(once.values())


def _found_in(folder: str, recursive: bool) -> Iterator[Meant]:
    found: list[Meant] = []

    def note(error: OSError) -> None:
        place = str(error.filename or folder)
        reason = (error.strerror or str(error)).casefold()
        trouble = UnreadableMesh(f"The folder {place} cannot be looked into ({reason}); check its rights.", file=place)
        found.append(Meant(place, trouble))

    for place, folders, files in os.walk(folder, onerror=note, followlinks=False):
        folders[:] = [name for name in folders if recursive and not name.startswith(".")]
        found += [Meant(os.path.join(place, name)) for name in files if _is_mesh(place, name)]  # noqa: PTH118
    yield from sorted(found, key=lambda meant: Path(meant.name).parts)


def _is_mesh(place: str, name: str) -> bool:
    if name.startswith(".") or not name.casefold().endswith(ENDINGS_OF_MESHES):
        return False
    try:
        return (Path(place) / name).is_file()  # not a pipe, which would be waited for, nor a link that leads nowhere
    except OSError:
        return False
