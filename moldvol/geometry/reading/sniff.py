"""What a file is by its bytes: names and extensions lie, and so do headers.

A binary STL is whatever is exactly 84 bytes and 50 more for each triangle it announces. After that come the marks
that other formats begin with, then words that only their text has.
"""

from __future__ import annotations

import codecs
import re
from pathlib import PurePath

from moldvol.geometry.reading.contents import Contents
from moldvol.geometry.reading.stl_binary import HEADER_BYTES, tally

HEAD_BYTES = 1 << 16
FORMATS = ("stl", "obj", "ply", "off", "3mf", "glb")

# What people rename to .stl, or save in its stead: first bytes, what it is, what to do.
_EXPORT = "export the mesh as STL, OBJ, PLY or 3MF"
_STRANGERS: tuple[tuple[bytes, str], ...] = (
    (b"\x89PNG\r\n", "a PNG picture, not a mesh; " + _EXPORT),
    (b"\xff\xd8\xff", "a JPEG picture, not a mesh; " + _EXPORT),
    (b"GIF8", "a GIF picture, not a mesh; " + _EXPORT),
    (b"%PDF", "a PDF document, not a mesh; " + _EXPORT),
    (b"\x1f\x8b", "a gzip archive; unpack it and name the mesh inside"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive; unpack it and name the mesh inside"),
    (b"Rar!\x1a\x07", "a RAR archive; unpack it and name the mesh inside"),
    (b"BZh", "a bzip2 archive; unpack it and name the mesh inside"),
    (b"\xfd7zXZ", "an xz archive; unpack it and name the mesh inside"),
    (b"ISO-10303-21", "a STEP drawing, which holds exact surfaces and no triangles; " + _EXPORT),
    (b"Kaydara FBX", "an FBX scene; " + _EXPORT),
    (b"; FBX", "an FBX scene; " + _EXPORT),
    (b"BLENDER", "the scene file of a modelling program; " + _EXPORT),
    (b"AC10", "a DWG drawing; " + _EXPORT),
    (
        b"version https://git-lfs",
        "a pointer to a mesh kept elsewhere, not the mesh; fetch it with 'git lfs pull'",
    ),
    (codecs.BOM_UTF16_LE, "text saved as UTF-16; save it as plain UTF-8 text"),
    (codecs.BOM_UTF16_BE, "text saved as UTF-16; save it as plain UTF-8 text"),
)
_MARKUP: tuple[tuple[re.Pattern[bytes], str], ...] = (
    (re.compile(rb"<!doctype\s+html|<html|<head|<body", re.I), "a web page, not a mesh; download the file itself"),
    (re.compile(rb"<svg", re.I), "an SVG picture, not a mesh; " + _EXPORT),
    (re.compile(rb"<collada", re.I), "a COLLADA scene; " + _EXPORT),
    (re.compile(rb"<amf", re.I), "an AMF file; " + _EXPORT),
    (re.compile(rb"<x3d", re.I), "an X3D scene; " + _EXPORT),
    (re.compile(rb"<"), "a markup document (a web page or XML), not a mesh; " + _EXPORT),
)
_STL_WORDS = re.compile(rb"facet.*vertex|end\s*solid", re.DOTALL)
_OFF = re.compile(rb"\s*(?:#[^\n\r]*\s+)*(?:ST)?C?N?4?n?OFF\b")
_OBJ_LINE = re.compile(
    rb"^[ \t]*(?:v[ \t]+[-+.\dn]|f[ \t]+[-+\d]|vn[ \t]+[-+.\d]|vt[ \t]+[-+.\d]|(?:mtllib|usemtl)[ \t])", re.M
)
_GLTF_TEXT = re.compile(rb'\A\s*\{.*"asset"', re.S)
_GCODE = re.compile(rb"^(?:G0?[01]|M1[04]\d|G28)\b.*$", re.M)


def sniff(contents: Contents, asked: str | None) -> str:
    """One of `FORMATS`; *asked* is believed only where the bytes do not tell.

    Raises `UnreadableMesh` saying what the file is instead.
    """
    if contents.size == 0:
        raise contents.refuse("is 0 bytes long, so there is nothing in it; save or download it again.")
    head = contents.head(HEAD_BYTES)
    if _is_exactly_binary_stl(contents):
        return "stl"
    text = head.removeprefix(codecs.BOM_UTF8).lstrip()
    _refuse_strangers(contents, head, text)
    known = _by_magic(head) or _by_words(text)
    if known:
        return known
    _refuse_mangled(contents, head)
    if _is_text(head):
        return _as_claimed(contents, asked, text)
    return _as_binary(contents, asked)


def is_ascii_stl(contents: Contents) -> bool:
    """Whether an STL file is written as text."""
    if _is_exactly_binary_stl(contents):
        return False
    return _by_words(contents.head(HEAD_BYTES).removeprefix(codecs.BOM_UTF8).lstrip()) == "stl"


def claimed_by_name(name: str) -> str | None:
    """The format that the extension of *name* stands for, if any."""
    extension = PurePath(name).suffix.lower().removeprefix(".")
    return extension if extension in FORMATS else None


def _is_exactly_binary_stl(contents: Contents) -> bool:
    if contents.size < HEADER_BYTES:
        return False
    announced, present, left_over = tally(contents)
    return announced == present and not left_over and announced > 0


def _by_magic(head: bytes) -> str | None:
    if head.startswith(b"glTF"):
        return "glb"
    if head.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        return "3mf"
    if re.match(rb"ply\s", head):
        return "ply"
    return None


def _by_words(text: bytes) -> str | None:
    """The format of *text*, its byte-order mark and leading blanks taken off."""
    lowered = text.lower()
    if lowered.startswith((b"solid", b"facet")) and _is_text(text) and _STL_WORDS.search(lowered):
        return "stl"
    if re.match(rb"ply\s+format\s", text):
        return "ply"
    if _OFF.match(text):
        return "off"
    return "obj" if _OBJ_LINE.search(text) and _is_text(text) else None


def _refuse_strangers(contents: Contents, head: bytes, text: bytes) -> None:
    for mark, what in _STRANGERS:
        if head.startswith(mark):
            raise contents.refuse(f"is really {what}.", really=what)
    if text.startswith(b"<"):
        for pattern, what in _MARKUP:
            if pattern.search(text[:4096]):
                raise contents.refuse(f"is really {what}.", really=what)
    if _GLTF_TEXT.search(text[:4096]):
        raise contents.refuse("is a glTF text file, whose triangles lie in other files; save it as one GLB file.")


def _refuse_mangled(contents: Contents, head: bytes) -> None:
    """Binary files that went through a text tool: bytes beyond ASCII became U+FFFD, or ends of line were changed."""
    if head.count(b"\xef\xbf\xbd") * 3 > max(0.02 * len(head), 9) and not _is_text(head.replace(b"\xef\xbf\xbd", b"")):
        raise contents.refuse(
            "was damaged by a text conversion (its bytes were taken for text); copy it again as binary."
        )
    if contents.size > HEADER_BYTES and not _is_text(head) and contents.size <= HEAD_BYTES:
        restored = head.replace(b"\r\n", b"\n")
        announced = int.from_bytes(restored[80:84], "little")
        if restored != head and len(restored) == HEADER_BYTES + 50 * announced:
            raise contents.refuse(
                "was damaged by a text conversion (its line ends were changed); copy it again as binary."
            )


def _is_text(head: bytes) -> bool:
    """Whether *head* has hardly any of the bytes that text never has: one bad byte does not make a file binary."""
    return 1000 * len(head.translate(None, bytes(range(32, 256)) + b"\t\n\v\f\r\x1a")) <= len(head)


def _as_claimed(contents: Contents, asked: str | None, text: bytes) -> str:
    if _GCODE.search(text):
        raise contents.refuse("is really G-code for a printer, not a mesh; " + _EXPORT + ".")
    if text.lower().startswith(b"solid"):
        raise contents.refuse("begins like an STL file but has no facets; save or download it again.")
    if asked in ("obj", "off"):
        return asked
    raise contents.refuse("is a text file, but not a mesh in a format known here; " + _EXPORT + ".")


def _as_binary(contents: Contents, asked: str | None) -> str:
    """A binary file without a mark: an STL whose count and size disagree, or nothing known."""
    if asked == "stl" or (asked is None and contents.size > HEADER_BYTES):
        return "stl"
    raise contents.refuse("is not a mesh in a format known here, or it is damaged; " + _EXPORT + ".")
