"""The JSON of one command read by the next, as in `moldvol cast … --json | moldvol mix -`."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from moldvol.errors import RequestError

# The commands whose object says what reaches the mould, the key, and whether that is of one copy.
_NET_KEYS = {
    "cast": ("net_mass_g", False),
    "hollow": ("shell_mass_g", True),
    "mould": ("rubber_mass_g", False),
    "fill": ("net_mass_g", False),
}


@dataclass(frozen=True, slots=True)
class Piped:
    """One result of another command."""

    document: Mapping[str, Any]

    @property
    def file(self) -> str | None:
        """The mesh file it is about, if it is about one that has a name."""
        file = self.document.get("file")
        return file if isinstance(file, str) and file not in ("-", "standard input") else None

    @property
    def mould_name(self) -> str | None:
        """Under which name the pour book keeps what is poured; None where there is no mesh to name it by."""
        if self.file is None:
            return None
        from moldvol.casting.pour_book import mould_made_from, mould_named_by

        return mould_made_from(self.file) if self.part("mould") else mould_named_by(self.file)

    @property
    def mix(self) -> Mapping[str, Any]:
        """Its mix, which `moldvol mix` writes at the top level and every other command under ``mix``."""
        mix = self.document.get("mix", self.document)
        return mix if isinstance(mix, dict) else {}

    @property
    def resin_key(self) -> str | None:
        """The key of the resin that is mixed."""
        key = self.mix.get("resin")
        return key if isinstance(key, str) else None

    @property
    def net_g(self) -> float | None:
        """What reaches the mould, where a mesh has told."""
        for command, (key, of_one_copy) in _NET_KEYS.items():
            if (mass_g := amount_in(self.part(command), key)) is not None:
                return mass_g * (self.copies if of_one_copy else 1)
        return None

    @property
    def planned_g(self) -> float | None:
        """What was to be mixed: in all pots together where there are pots."""
        mixed = amount_in(self.part("pots"), "mixed_g")
        return amount_in(self.mix, "total_mass_g") if mixed is None else mixed

    @property
    def copies(self) -> int:
        """For how many casts it is."""
        told = [amount_in(self.part(command), "copies") for command in _NET_KEYS]
        return round(next((copies for copies in told if copies is not None), 1.0)) or 1

    def part(self, name: str) -> Mapping[str, Any]:
        """The object under *name*, empty where there is none."""
        part = self.document.get(name)
        return part if isinstance(part, dict) else {}


def read_piped() -> Piped:
    """The result on standard input. Raises `RequestError` for what is no result, or several."""
    try:
        document = json.loads(sys.stdin.read())
    except (ValueError, RecursionError):
        raise RequestError(
            "Standard input held no JSON; pipe in another command's --json, like 'moldvol cast … --json'."
        ) from None
    if not isinstance(document, dict):
        raise RequestError("The JSON on standard input is no result of a command; pipe in 'moldvol cast … --json'.")
    if isinstance(document.get("error"), dict):
        said = document["error"].get("message", "no reason given")
        raise RequestError(f"The command before the pipe gave no result ({said}); put that right first.")
    if "results" in document:
        raise RequestError("The JSON on standard input holds several results; pipe in one file's at a time.")
    return Piped(document)


def amount_in(document: Mapping[str, Any], key: str) -> float | None:
    """The number under *key* if it is one above zero."""
    value = document.get(key)
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < math.inf:
        return None
    return float(value)
