"""What can be asked of a mould, with what the trade usually does. Lengths in mm, pressures in Pa."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, get_args

from moldvol.casting.learned_allowance import LearnedAllowance
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.casting.mould.box import USUAL_BOARD_MM
from moldvol.casting.mould.glove import USUAL_DETAIL_MM, USUAL_FLANGE_MM
from moldvol.casting.mould.jacket import JacketRequest
from moldvol.errors import RequestError
from moldvol.geometry.moulding.orientation import Clearance, Vector
from moldvol.materials.bounds import one_of, positive, whole_number
from moldvol.materials.vessels.vacuum import absolute_from_vacuum_gauge
from moldvol.quantities import PA_PER_INHG

MouldStyle = Literal["block", "glove", "poured-over"]
Stand = Literal["filed", "smallest"]

USUAL_CLEARANCE_MM = 12.0  # 10 to 15 mm around the master in a block: common practice, no source
USUAL_GLOVE_MM = 8.0  # 6 to 10 mm for brushed skins: common practice, no source
USUAL_VACUUM_PA = absolute_from_vacuum_gauge(29 * PA_PER_INHG)
USUAL_KEYS = 4
USUAL_THICKENER_PERCENT = 2.0  # of the rubber in thickened coats; 1 to 3 % of fumed silica stop sagging (from memory)
KEY_SHARE = 1 / 3  # of the wall it stands on: radius of a key in a block


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldRequest:
    """What mould is to be made.

    ``mix`` names the rubber, its amount still open. ``coats`` is how many build up a glove, None for as many as do not
    slide down. ``open_face`` stands the master on the board, so that no rubber
    goes under it; a skin does so unless told otherwise by ``open_face=False``. ``up`` is the direction of the master
    that points to the ceiling, ``stand`` "smallest" looks for the pose with the smallest box instead. ``vacuum_pa`` is
    the absolute pressure for degassing, None if there is no pump.
    """

    mix: MixRequest
    style: MouldStyle = "block"
    clearance_mm: float = USUAL_CLEARANCE_MM
    thickness_mm: float = USUAL_GLOVE_MM
    coats: int | None = None
    parts: int = 1
    open_face: bool | None = None
    up: Vector = (0.0, 0.0, 1.0)
    stand: Stand = "filed"
    board_mm: float = USUAL_BOARD_MM
    keys: int = USUAL_KEYS
    key_radius_mm: float | None = None
    detail_mm: float = USUAL_DETAIL_MM
    thickener_percent: float = USUAL_THICKENER_PERCENT
    flange_mm: float = USUAL_FLANGE_MM
    jacket: JacketRequest = field(default_factory=JacketRequest)
    allowance: float | None = None
    learned: LearnedAllowance | None = None
    vacuum_pa: float | None = USUAL_VACUUM_PA

    def __post_init__(self) -> None:
        one_of(self.style, get_args(MouldStyle), "style of the mould")
        one_of(self.stand, get_args(Stand), "way to stand the master")
        self._check_style()
        if not 0 <= self.thickener_percent <= 20:
            raise RequestError(f"{self.thickener_percent:g} % of thickener is out of reach; give 0 to 20 %.")
        if self.coats is not None:
            whole_number(self.coats, 1, "number of coats")
        whole_number(self.keys, 0, "number of keys")
        if self.key_radius_mm is not None:
            positive(self.key_radius_mm, "radius of a key in mm")

    def _check_style(self) -> None:
        if self.parts not in (1, 2):
            raise RequestError(f"A mould of {self.parts} parts cannot be planned here; ask for 1 or 2.")
        if self.style == "block" and not self.clearance_mm > 0:
            raise RequestError(f"A clearance of {self.clearance_mm:g} mm leaves no rubber; give one above 0 mm.")
        if self.style != "block" and not self.thickness_mm > 0:
            raise RequestError(f"A skin of {self.thickness_mm:g} mm is none; give a thickness above 0 mm.")
        if self.parts == 2 and self.style != "block":
            raise RequestError("A skin of rubber comes in one part; leave out the parts, or plan a block in two.")
        if self.open_face and self.parts == 2 and self.style == "block":
            raise RequestError("A block in two parts has no open face; leave out one of the two.")

    @property
    def on_board(self) -> bool:
        """Whether the master stands on the board."""
        return self.style != "block" if self.open_face is None else self.open_face

    @property
    def clearance(self) -> Clearance:
        """Room between the master and its box; for a skin, the skin."""
        room = self.clearance_mm if self.style == "block" else self.thickness_mm
        return Clearance(sides_mm=room, above_mm=room, below_mm=0.0 if self.on_board else room)

    @property
    def key_size_mm(self) -> float:
        """Radius of a key: a third of a block's wall, or the thickness of a skin, unless stated."""
        usual = self.clearance_mm * KEY_SHARE if self.style == "block" else self.thickness_mm
        return usual if self.key_radius_mm is None else self.key_radius_mm
