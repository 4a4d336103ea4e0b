"""The one family of errors for what a user can get wrong.

::

    MoldvolError               root: catch this to catch them all
    ├── MeshError              a mesh file cannot be used                     exit status 1
    │   ├── UnreadableMesh     its bytes are not a mesh we can read
    │   └── UnsoundMesh        its triangles do not enclose a solid
    ├── ShelfError             a shelf, stock list or pour book is wrong      exit status 1
    └── RequestError           what was asked for cannot be done as asked     exit status 2

Each error is an object with fields before it is a sentence: ``code`` for scripts, ``file`` and whatever
``details`` the place that raised it knew. ``str(error)`` is one sentence: what, where, what to do.
"""

from __future__ import annotations

from typing import Any, ClassVar

_SPACES = "\u00a0\u2009\u202f"  # not printable to Python, but set in numbers on purpose


class MoldvolError(Exception):
    """Something a user can put right; ``str()`` of it is one sentence for the person at the bench."""

    code: ClassVar[str] = "error"
    exit_status: ClassVar[int] = 1

    def __init__(self, message: str, *, file: str | None = None, code: str | None = None, **details: Any) -> None:
        self.message = _one_line(message)
        super().__init__(self.message)
        self.file = file
        self.details = details
        self.kind = code or type(self).code

    def about(self, file: str) -> MoldvolError:
        """The same error with *file* filled in, for readers that see only bytes."""
        if self.file is None:
            self.file = file
        return self

    def __reduce__(self) -> tuple[Any, ...]:
        # Workers of a batch send errors back through pickle; keyword fields are lost without this.
        return _rebuild, (type(self), self.message, self.file, self.kind, self.details)


def _one_line(message: str) -> str:
    """*message* with what would break its line or steer the terminal escaped: names and files may hold anything."""
    if message.isprintable():
        return message
    return "".join(c if c.isprintable() or c in _SPACES else c.encode("unicode_escape").decode() for c in message)


def _rebuild(
    kind: type[MoldvolError], message: str, file: str | None, code: str, details: dict[str, Any]
) -> MoldvolError:
    return kind(message, file=file, code=code, **details)


class MeshError(MoldvolError):
    """A mesh file cannot be used."""

    code = "mesh"


class UnreadableMesh(MeshError):
    """The bytes of the file are not a mesh we can read, or not all of it is there."""

    code = "unreadable"


class UnsoundMesh(MeshError):
    """The triangles were read, but they do not enclose a solid and could not be mended honestly."""

    code = "unsound"


class ShelfError(MoldvolError):
    """A shelf of materials, a stock list or a pour book holds something wrong."""

    code = "shelf"


class RequestError(MoldvolError):
    """The question itself cannot be answered as it was put; another command line would work."""

    code = "usage"
    exit_status = 2
