"""Sentences for what happened to a mesh, made from the record of it and nothing else."""

from __future__ import annotations

from collections.abc import Callable

from moldvol.geometry.soundness.draft import Mending
from moldvol.present.numbers import length, place, volume


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number != 1 else f"1 {noun.removesuffix('s')}"


def _hole(mending: Mending) -> str:
    doubt = f"; had it bulged, up to {volume(mending.doubt_mm3, digits=2)} more or less" if mending.doubt_mm3 else ""
    return f"A hole {length(mending.across_mm)} across at {_at(mending)} was closed{doubt}."


def _base(mending: Mending) -> str:
    return (
        f"One flat side was open ({length(mending.across_mm)} across at {_at(mending)}) and was closed flat; "
        "nothing is added beyond the rim."
    )


def _small_holes(mending: Mending) -> str:
    doubt = (
        f"; all of them together leave ± {volume(mending.doubt_mm3, digits=2)} in doubt" if mending.doubt_mm3 else ""
    )
    return f"{_count(mending.count, 'holes')} of at most {length(mending.across_mm)} across closed{doubt}."


def _at(mending: Mending) -> str:
    return place(mending.at_mm) if mending.at_mm is not None else "an unknown place"


_SENTENCES: dict[str, Callable[[Mending], str]] = {
    "broken_numbers": lambda m: f"{_count(m.count, 'triangles')} with coordinates that are no numbers left out.",
    "buried_body_left_out": lambda m: f"{_count(m.count, 'bodies')} inside another solid not counted twice.".replace(
        "1 bodie ", "1 body "
    ),
    "cracks_closed": lambda m: f"{_count(m.count, 'cracks')} of no width closed, the first at {_at(m)}.",
    "cracks_welded": lambda m: f"{_count(m.count, 'edges')} that nearly met joined, near {_at(m)}.",
    "doubled_triangles": lambda m: f"{_count(m.count, 'triangles')} listed twice left out.",
    "flat_base_closed": _base,
    "hole_closed": _hole,
    "holes_plugged": lambda m: (
        f"{_count(m.count, 'holes')} plugged, the first at {_at(m)}: the outside now holds "
        f"{volume(abs(m.volume_change_mm3))} more."
    ),
    "inside_out_turned": lambda m: "The file was inside out; its inside is taken as the cast.",
    "loose_triangles": lambda m: f"{_count(m.count, 'triangles')} loose near {_at(m)}, bounding nothing, ignored.",
    "overlap_united": lambda m: (
        f"Overlapping bodies united near {_at(m)}: {volume(-m.volume_change_mm3)} was there twice and is counted once."
    ),
    "self_crossing": lambda m: f"The surface runs through itself; {volume(-m.volume_change_mm3)} taken off.",
    "small_holes_closed": _small_holes,
    "wrong_way_triangles": lambda m: f"{_count(m.count, 'triangles')} faced the wrong way and were turned.",
}


def tell(mending: Mending) -> str:
    """One sentence on a mending."""
    return _SENTENCES[mending.what](mending)
