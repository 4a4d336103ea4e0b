"""XML read from front to back with Python's own parser; no document types, no entities, nothing fetched."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from xml.parsers import expat

from moldvol.errors import UnreadableMesh
from moldvol.geometry.reading.contents import Contents

Attributes = dict[str, str]


class BadElement(Exception):
    """What is wrong with the element being read, as a predicate of it: 'has ...'."""


def parse_xml(
    contents: Contents,
    entry: str,
    pieces: Iterable[bytes],
    *,
    start: Callable[[str, Attributes], None],
    end: Callable[[str], None] | None = None,
    namespace: Callable[[str | None, str], None] | None = None,
) -> None:
    """Call *start* and *end* for each element of the document in *pieces*, names written ``namespace|name``.

    Raises `UnreadableMesh`, naming *entry* and line, for what is no XML, for document types and entities, and for a
    `BadElement` that *start* or *end* raises.
    """
    parser = expat.ParserCreate(namespace_separator="|")
    parser.StartElementHandler = start
    parser.StartDoctypeDeclHandler = parser.EntityDeclHandler = _refuse_declarations
    if end is not None:
        parser.EndElementHandler = end
    if namespace is not None:
        parser.StartNamespaceDeclHandler = namespace
    try:
        for piece in pieces:
            parser.Parse(piece, False)
        parser.Parse(b"", True)
    except BadElement as bad:
        raise _told(contents, entry, parser.CurrentLineNumber, str(bad)) from None
    except (expat.ExpatError, LookupError, ValueError) as trouble:
        raise _told(contents, entry, parser.CurrentLineNumber, "has broken XML") from trouble


def _refuse_declarations(*_: object) -> None:
    raise BadElement("declares a document type or entities, which 3MF forbids")


def _told(contents: Contents, entry: str, line: int, what: str) -> UnreadableMesh:
    return contents.refuse(f"{what} on line {line} of its {entry}; export it again.", line=line, entry=entry)
