"""Short cautions for a resin's class and the work around it. The product's own safety data sheet goes before them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

from moldvol.errors import RequestError
from moldvol.materials.filler import Filler
from moldvol.materials.resin import Resin

_FILE = Path(__file__).with_name("cautions.toml")
_LAST = "sheet"
_TOPIC_OF_FILLER = {"filler": "powder", "metal": "metal-powder", "thickener": "fumed-silica"}


def cautions_for(resin: Resin, fillers: Iterable[Filler] = ()) -> tuple[str, ...]:
    """The cautions that print with a recipe of *resin* and *fillers*; the last says that the data sheet governs."""
    kinds, _ = _cautions()
    topics = list(kinds[resin.kind])
    topics[-1:-1] = sorted({_TOPIC_OF_FILLER[filler.kind] for filler in fillers if filler.kind in _TOPIC_OF_FILLER})
    return tuple(caution(topic) for topic in topics)


def caution(topic: str) -> str:
    """The caution on one topic, such as ``plaster`` or ``vacuum``. Raises `RequestError` for one that has no text."""
    _, topics = _cautions()
    if topic not in topics:
        raise RequestError(f"There is no caution on '{topic}'; there is one on {', '.join(sorted(topics))}.")
    return topics[topic]


@cache
def _cautions() -> tuple[Mapping[str, tuple[str, ...]], Mapping[str, str]]:
    document = tomllib.loads(_FILE.read_text(encoding="utf-8"))
    kinds = {kind: tuple(topics) for kind, topics in document["kinds"].items()}
    return MappingProxyType(kinds), MappingProxyType(document["topics"])
