"""What stands on the knobs: the label of each, and the words for each setting of those with a list."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

LABELS: Mapping[str, str] = MappingProxyType({
    "part": "Part of the file",
    "unit": "Drawn in",
    "scale": "Resize by",
    "accept_open": "Open as it is",
    "height": "Make it this high",
    "taken_as": "Take it as",
    "inner_skins": "Inner skins are",
    "plug": "Plug holes up to",
    "resin": "Resin",
    "wall": "Wall",
    "coats": "Coats",
    "opening": "Resin enters",
    "copies": "Copies",
    "allowance": "Allowance for waste",
    "pot": "Pot",
    "temperature": "Bench temperature",
    "readability": "Scale shows",
    "style": "Kind of mould",
    "rubber": "Rubber",
    "mould_parts": "Parts",
    "heat_cast": "Cast it",
    "heat_mould": "Mould of",
    "rubber_wall": "Mould's thickness",
})  # fmt: skip
CHOICES: Mapping[str, Mapping[str, str]] = MappingProxyType({
    "unit": {"": "as the file says, else mm", "mm": "mm", "cm": "cm", "m": "m", "in": "inches", "ft": "feet"},
    "taken_as": {"solid": "the solid itself", "cavity": "a block with a sealed room"},
    "inner_skins": {"solid": "solid within solid", "void": "hollows"},
    "opening": {"": "at the lowest flat face", "bottom": "at the lowest point", "top": "at the highest point"},
    "readability": {
        "5g": "5 g", "1g": "1 g", "0.5g": "0.5 g", "0.1g": "0.1 g", "0.05g": "0.05 g", "0.01g": "0.01 g",
    },
    "style": {"block": "block in a box", "glove": "brushed glove and jacket", "poured-over": "poured under a jacket"},
    "mould_parts": {"1": "in one part", "2": "in two parts"},
    "heat_cast": {"solid": "solid", "hollow": "hollow, with the wall"},
    "heat_mould": {
        "silicone": "silicone", "urethane-rubber": "urethane rubber", "plaster": "plaster", "none": "none, in air",
    },
})  # fmt: skip


def in_words(name: str, typed: str) -> str:
    """The setting *typed* of the knob *name*, as the page shows it.

    >>> in_words("mould_parts", "2"), in_words("wall", "3mm"), in_words("pot", ""), in_words("opening", "0,0,30")
    ('in two parts', '3mm', 'the usual', 'at 0,0,30')
    """
    known = CHOICES.get(name, {})
    if typed in known:
        return known[typed]
    return f"at {typed}" if name == "opening" else typed or "the usual"
