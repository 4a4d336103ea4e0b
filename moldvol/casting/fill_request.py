"""What can be asked of a mould to be filled. Lengths in mm, volumes in mm³."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from moldvol.casting.learned_allowance import LearnedAllowance
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.errors import RequestError
from moldvol.geometry.moulding.levels import LEAST_POCKET_MM3
from moldvol.geometry.moulding.orientation import Vector
from moldvol.materials.bounds import one_of

TakenAs = Literal["auto", "mould", "cavity"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FillRequest:
    """How the mould stands and how far it is filled.

    ``up`` is the direction of the mesh that points to the ceiling; left open, +z is tried first. ``drop_mm`` is how far
    below its rim the mould is filled. ``taken_as`` overrules what would be recognised. ``openings_mm`` are the places
    of sprue and vents of a cavity; without them its highest place is the sprue. ``mix`` names the resin, if wanted.
    """

    up: Vector | None = None
    drop_mm: float = 0.0
    taken_as: TakenAs = "auto"
    openings_mm: tuple[Vector, ...] = ()
    smallest_pocket_mm3: float = LEAST_POCKET_MM3
    try_directions: bool = False
    mix: MixRequest | None = None
    allowance: float | None = None
    learned: LearnedAllowance | None = None

    def __post_init__(self) -> None:
        one_of(self.taken_as, get_args(TakenAs), "way to take the mesh")
        if not self.smallest_pocket_mm3 > 0:
            raise RequestError(
                "The smallest pocket that counts must be larger than nothing; give a volume like 10 mm3."
            )
