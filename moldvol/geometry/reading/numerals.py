"""Numbers as mesh programs write them: plain, 1e-03, Fortran's 1.0D+01, and the spellings of what is not a number."""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

SENTINEL = b" 1e308 "  # marks rows in text that is parsed in bulk: no mesh has a coordinate like it
SENTINEL_VALUE = 1e308

_NUMBER = re.compile(rb"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eEdD][-+]?\d+)?")
# C libraries write inf and nan in several ways; older Windows ones as 1.#QNAN, -1.#IND, 1.#INF.
_NOT_FINITE = re.compile(
    rb"[-+]?(?:(?P<nan>nan(?:\([\w]*\))?|1\.#(?:qnan|snan|ind|nan)\d*)|inf(?:inity)?|1\.#inf\d*)", re.I
)
_DECIMAL_COMMA = re.compile(rb"[-+]?\d*,\d+(?:[eEdD][-+]?\d+)?|[-+]?\d+,")
COMMA_ADVICE = "set your program to write decimal points and export again"


def number(word: bytes) -> float | None:
    """*word* as a float (perhaps NaN or infinite), or None when it is no number."""
    if _NUMBER.fullmatch(word):
        return float(word.replace(b"D", b"e").replace(b"d", b"e"))
    if match := _NOT_FINITE.fullmatch(word):
        return float("nan") if match["nan"] else float("-inf" if word[:1] == b"-" else "inf")
    return None


def has_decimal_comma(word: bytes) -> bool:
    """Whether *word* is a number written with a decimal comma, as in ``1,5``."""
    return _DECIMAL_COMMA.fullmatch(word) is not None


def floats_in_bulk(text: bytes) -> NDArray[np.float64] | None:
    """All numbers of *text*, blank-separated, or None when anything else is in it.

    About 0.2 µs a number and no Python objects, where a list of words would cost 50 bytes each.
    """
    try:
        return np.fromstring(text, dtype=np.float64, sep=" ")
    except (ValueError, DeprecationWarning):  # numpy before 2.3 warns, and gives the numbers up to the first fault
        return None


def integers_in_bulk(text: bytes) -> NDArray[np.int64] | None:
    """All whole numbers of *text*, blank-separated, or None when anything else is in it."""
    try:
        return np.fromstring(text, dtype=np.int64, sep=" ")
    except (ValueError, DeprecationWarning):
        return None


def readable(word: bytes, longest: int = 24) -> str:
    """*word* as it may be quoted in a sentence."""
    text = "".join(c if c.isprintable() else "?" for c in decoded(word))
    return text if len(text) <= longest else text[: longest - 1] + "…"


def decoded(text: bytes) -> str:
    """*text* as UTF-8 or, failing that, Latin-1: the two that names in mesh files come in."""
    try:
        return text.decode("utf-8")
    except UnicodeDecodeError:
        return text.decode("latin-1")
