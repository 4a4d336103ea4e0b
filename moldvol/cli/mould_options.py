"""Options of ``moldvol mould``: the rubber's shape, the jacket over it, the pump. No numpy here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from moldvol.cli.options import gathered
from moldvol.cli.types import LENGTH, LENGTH_OR_NONE, MATS, PRESSURE, SHARE, VECTOR
from moldvol.errors import RequestError

if TYPE_CHECKING:
    from moldvol.casting.mould.jacket import JacketRequest
    from moldvol.cli.bench_options import BenchOptions
    from moldvol.materials.shelf import Shelf

STYLES = ("block", "glove", "poured-over")
SKINS = ("glove", "poured-over")
# Which styles an option belongs to; one that stands elsewhere would be passed over without a word.
STYLES_OF = {
    "clearance_mm": ("block",),
    "parts": ("block",),
    "least_rubber": ("block",),
    "board_mm": ("block",),
    "thickness_mm": SKINS,
    "flange_mm": SKINS,
    "coats": ("glove",),
    "detail_mm": ("glove",),
    "thickener": ("glove",),
}
KIND_OF_JACKET = {"plaster": "plaster", "glass": "laminate", "none": "none"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapeOptions:
    """The rubber's shape as typed."""

    style: str
    clearance_mm: float | None
    thickness_mm: float | None
    parts: str | None
    open_face: bool | None
    up: tuple[float, float, float] | None
    least_rubber: bool
    board_mm: float | None
    keys: int | None
    key_radius_mm: float | None
    coats: int | None
    detail_mm: float | None
    thickener: float | None
    flange_mm: float | None

    def asked(self) -> dict[str, Any]:
        """What was typed, as a mould is asked for. Raises `RequestError` for what does not go together."""
        self._check()
        asked: dict[str, Any] = {
            "style": self.style,
            "clearance_mm": self.clearance_mm,
            "thickness_mm": self.thickness_mm,
            "parts": None if self.parts is None else int(self.parts),
            "open_face": self.open_face,
            "up": self.up,
            "stand": "smallest" if self.least_rubber else None,
            "board_mm": self.board_mm,
            "keys": self.keys,
            "key_radius_mm": self.key_radius_mm,
            "coats": self.coats,
            "detail_mm": self.detail_mm,
            "thickener_percent": None if self.thickener is None else self.thickener * 100,
            "flange_mm": self.flange_mm,
        }
        return {name: value for name, value in asked.items() if value is not None}

    def _check(self) -> None:
        for field, styles in STYLES_OF.items():
            if getattr(self, field) not in (None, False) and self.style not in styles:
                option = f"--{field.removesuffix('_mm').replace('_', '-')}"
                raise RequestError(
                    f"{option} goes with {' or '.join(styles)}, not with {self.style}; leave it out or change --style."
                )
        if self.least_rubber and self.up is not None:
            raise RequestError("--up and --least-rubber both say how the master stands; leave one of them out.")


@dataclass(frozen=True, slots=True, kw_only=True)
class JacketOptions:
    """The jacket over a skin of rubber, as typed."""

    jacket: str | None
    jacket_mm: float | None
    plaster_key: str
    consistency: float | None
    mats: tuple[tuple[float, ...], ...]
    gel_coat_mm: float | None
    jacket_resin_key: str
    gel_coat_key: str
    offcuts: float | None

    def request(self, style: str, shelf: Shelf, bench: BenchOptions) -> JacketRequest:
        """The jacket for a mould of *style*. Raises `RequestError` for what does not go together."""
        from moldvol.casting.mould.jacket import JacketRequest

        kind = self._kind(style)
        if kind == "plaster":
            asked: dict[str, Any] = {"powder": shelf.plaster(self.plaster_key), "consistency": self.consistency}
            asked |= {} if self.jacket_mm is None else {"thickness_mm": self.jacket_mm}
            return JacketRequest(kind="plaster", **asked)
        return self._laminate(shelf, bench) if kind == "laminate" else JacketRequest(kind="none")

    def _kind(self, style: str) -> str:
        """What it is made of, after what was typed for it has been found to fit."""
        of_plaster = {"--jacket-thickness": self.jacket_mm, "--consistency": self.consistency}
        of_glass = {"--mat": self.mats or None, "--gelcoat": self.gel_coat_mm, "--offcuts": self.offcuts}
        kind = "none" if style == "block" else KIND_OF_JACKET[self.jacket or "plaster"]
        if style == "block" and self.jacket not in (None, "none"):
            raise RequestError("A block stands by itself and takes no jacket; leave out --jacket, or ask for a glove.")
        wrong = ({} if kind == "plaster" else of_plaster) | ({} if kind == "laminate" else of_glass)
        for option, value in wrong.items():
            if value is not None:
                wanted = "plaster" if option in of_plaster else "glass"
                raise RequestError(f"{option} is for a jacket of {wanted}; add --jacket {wanted}, or leave it out.")
        return kind

    def _laminate(self, shelf: Shelf, bench: BenchOptions) -> JacketRequest:
        from moldvol.casting.mould.jacket import JacketRequest
        from moldvol.materials.mixtures.laminate import LayUp

        asked: dict[str, Any] = {
            "mats_g_m2": tuple(mat for several in self.mats for mat in several) or None,
            "offcuts": self.offcuts,
            "lay_up": None if self.gel_coat_mm is None else LayUp(gel_coat_mm=self.gel_coat_mm),
        }
        return JacketRequest(
            kind="laminate",
            resin=shelf.resin(self.jacket_resin_key),
            gel_coat=shelf.resin(self.gel_coat_key),
            bench_c=bench.bench_c,
            scale=bench.scale(),
            **{name: value for name, value in asked.items() if value is not None},
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpOptions:
    """The vacuum pump as typed."""

    vacuum_pa: float
    pump: bool

    def absolute_pa(self) -> float | None:
        """What it pumps down to; None where there is no pump."""
        from moldvol.materials.vessels.vacuum import absolute_from_vacuum_gauge

        return absolute_from_vacuum_gauge(self.vacuum_pa) if self.pump else None


shape_options = gathered(
    ShapeOptions,
    "shape",
    click.option(
        "--style",
        type=click.Choice(STYLES),
        default="block",
        help="Rubber poured into a box, brushed on in coats under a jacket, or poured into the gap under a jacket.",
    ),
    click.option("--clearance", "clearance_mm", type=LENGTH, help="Block: rubber round the master, 12mm if not said."),
    click.option("--thickness", "thickness_mm", type=LENGTH, help="Glove, poured-over: the skin, 8mm if not said."),
    click.option("--parts", type=click.Choice(["1", "2"]), help="Block: in how many parts, 1 if not said."),
    click.option(
        "--open-face/--all-round",
        default=None,
        help="Stand the master on the board, no rubber under it; or rubber all round. A block goes all round, a skin "
        "does not, if not said.",
    ),
    click.option("--up", type=VECTOR, metavar="X,Y,Z", help="Which way of the master points up, 0,0,1 if not said."),
    click.option("--least-rubber", is_flag=True, help="Block: stand the master the way that takes least rubber."),
    click.option("--board", "board_mm", type=LENGTH, help="Block: thickness of the box boards, 15mm if not said."),
    click.option("--keys", type=click.IntRange(0, 100), help="How many keys hold the parts together, 4 if not said."),
    click.option(
        "--key-radius",
        "key_radius_mm",
        type=LENGTH,
        help="Radius of these half-balls: a third of a block's wall, or as a skin is thick, if not said.",
    ),
    click.option("--coats", type=click.IntRange(1, 50), help="Glove: in how many coats; none above 3mm if not said."),
    click.option("--detail", "detail_mm", type=LENGTH, help="Glove: the first, thin coat, 1mm if not said."),
    click.option("--thickener", type=SHARE, help="Glove: of the later coats by weight, 2% if not said."),
    click.option(
        "--flange", "flange_mm", type=LENGTH_OR_NONE, help="Skins: width of the rim on the board, 20mm if not said."
    ),
)
jacket_options = gathered(
    JacketOptions,
    "jacket",
    click.option("--jacket", type=click.Choice(list(KIND_OF_JACKET)), help="Over a skin; plaster if not said."),
    click.option(
        "--jacket-thickness", "jacket_mm", type=LENGTH, help="Thickness of a plaster jacket, 15mm if not said."
    ),
    click.option("--plaster", "plaster_key", metavar="NAME", default="pottery-plaster", help="A plaster of the shelf."),
    click.option("--consistency", type=float, help="Grams of water to 100 g of plaster, if not the plaster's own."),
    click.option(
        "--mat",
        "mats",
        type=MATS,
        multiple=True,
        metavar="WEIGHT",
        help="Glass mats, first to last; 3x450 if not said.",
    ),
    click.option(
        "--gelcoat", "gel_coat_mm", type=LENGTH_OR_NONE, help="Gel coat of a glass jacket, 0.5mm if not said."
    ),
    click.option(
        "--jacket-resin",
        "jacket_resin_key",
        metavar="NAME",
        default="laminating-polyester",
        help="Polyester that wets the mat.",
    ),
    click.option(
        "--gelcoat-resin",
        "gel_coat_key",
        metavar="NAME",
        default="gelcoat-polyester",
        help="Polyester of the gel coat.",
    ),
    click.option("--offcuts", type=SHARE, help="Mat and resin added for laps and offcuts, 15% if not said."),
)
pump_options = gathered(
    PumpOptions,
    "pump",
    click.option("--vacuum", "vacuum_pa", type=PRESSURE, default="29inhg", help="What your vacuum gauge shows."),
    click.option("--pump/--no-pump", default=True, help="Whether the rubber is degassed."),
)
