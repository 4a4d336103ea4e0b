"""``moldvol mix``: no mesh, no numpy; it starts at once because it is used with resin on the gloves."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import click

from moldvol.cli.bench_options import BenchOptions, bench_options
from moldvol.cli.meshes import tell_one
from moldvol.cli.options import FileOptions, OutputOptions, gathered, output_options, sheet_options, shelf_option
from moldvol.cli.paper import places_for
from moldvol.cli.piped import amount_in, read_piped
from moldvol.cli.telling import Telling
from moldvol.cli.types import COUNT, LENGTH, refuse_mesh_as_amount
from moldvol.errors import RequestError
from moldvol.materials.chemistry.own_ratio import parts_from_figures, with_parts
from moldvol.materials.resin import Resin
from moldvol.materials.shelf import Shelf, load_shelf
from moldvol.notices import Notice
from moldvol.quantities import parse_amount, parse_mass_g


@dataclass(frozen=True, slots=True, kw_only=True)
class RatioOptions:
    """Figures of the user's own data sheet, as typed, that give the ratio in place of the shelf's."""

    eew: float | None
    ahew: float | None
    oh_value: float | None
    nco_percent: float | None
    index: float | None

    def applied_to(self, resin: Resin) -> tuple[Resin, tuple[Notice, ...]]:
        """*resin* with the ratio these figures give and what is to be said of it, or as it is where none was given."""
        parts = parts_from_figures(
            eew=self.eew, ahew=self.ahew, oh_value=self.oh_value, nco_percent=self.nco_percent, index=self.index
        )
        return (resin, ()) if parts is None else (with_parts(resin, parts), parts.notices)


ratio_options = gathered(
    RatioOptions,
    "own_ratio",
    click.option("--eew", type=float, help="Epoxide equivalent weight of an epoxy resin; with --ahew."),
    click.option("--ahew", type=float, help="Active hydrogen equivalent weight of its hardener."),
    click.option("--oh-value", type=float, help="OH value of a polyol in mg KOH/g; with --nco."),
    click.option("--nco", "nco_percent", type=float, help="NCO content of its isocyanate in per cent."),
    click.option("--index", type=float, help="Isocyanate index, 1.05 for 5 % more than the balance."),
)


@click.command("mix")
@click.argument("amount", metavar="AMOUNT")
@click.option("--resin", "resin_key", metavar="NAME", help="A resin of the shelf; with '-' the one that was piped in.")
@click.option("--poured", multiple=True, metavar="PART=MASS", help="What is in the cup already, e.g. A=104.1g.")
@click.option("--casts", type=COUNT, help="For how many casts, to state the cost of each.")
@click.option(
    "--section", "section_mm", type=LENGTH, help="Thickest place of the cast: a polyester takes less catalyst."
)
@click.option(
    "--stock", type=click.Path(path_type=Path), help="A stock list: is there enough, what to buy, what it costs."
)
@ratio_options
@bench_options
@shelf_option
@sheet_options
@output_options
def command(
    amount: str,
    resin_key: str | None,
    poured: tuple[str, ...],
    casts: int | None,
    section_mm: float | None,
    stock: Path | None,
    own_ratio: RatioOptions,
    bench: BenchOptions,
    shelves: tuple[Path, ...],
    paper: FileOptions,
    output: OutputOptions,
) -> int:
    """How much of each part to weigh for AMOUNT: a mass (205g), a volume (180ml, 1/2uspint), or - for JSON piped in.

    Over-poured? Say what is in the cup with --poured, and the others are corrected.
    """
    from moldvol.casting.mixing.mix import plan_request
    from moldvol.casting.mixing.stock_check import check_mix
    from moldvol.present.mixing import mix

    bench.refuse_lone_loss()
    (place,) = places_for(paper, ["mix"])
    wanted = _wanted(amount, resin_key)
    shelf = load_shelf(shelves)
    resin, ratio_notices = own_ratio.applied_to(_resin(shelf, wanted.resin_key))
    request = bench.request(
        resin,
        shelf,
        mass_g=wanted.mass_g,
        volume_ml=wanted.volume_ml,
        section_mm=section_mm,
        poured=[_poured(text) for text in poured],
    )
    plan, pots, copies = plan_request(request), bench.pots(request), casts or wanted.copies
    told = mix.MixTold(
        plan=plan,
        split=pots,
        stock=check_mix(stock, plan, pots, copies) if stock else None,
        casts=copies,
        ratio_notices=ratio_notices,
    )
    tell_one(Telling(lambda units: mix.report(told, units), lambda: mix.document(told)), output, place)
    return 0


@dataclass(frozen=True, slots=True)
class _Wanted:
    resin_key: str
    mass_g: float | None = None
    volume_ml: float | None = None
    copies: int = 1


def _resin(shelf: Shelf, key: str) -> Resin:
    if key in shelf.plasters and key not in shelf.resins:
        raise RequestError(f"{key} is a plaster; weigh it with 'moldvol plaster 3l --plaster {key}'.")
    if key.strip().casefold() in ("plaster", "gypsum") and key not in shelf.resins:
        names = ", ".join(shelf.plasters)
        raise RequestError(f"{key.strip().capitalize()} is weighed with 'moldvol plaster 3l'; the shelf has {names}.")
    return shelf.resin(key)


def _wanted(amount: str, resin_key: str | None) -> _Wanted:
    if amount == "-":
        return _piped(resin_key)
    refuse_mesh_as_amount(amount)
    if resin_key is None:
        raise RequestError("No resin is named; add --resin with a name of 'moldvol resins'.")
    asked = parse_amount(amount)
    if not (asked.mass_g or asked.volume_ml or 0.0) > 0:
        raise RequestError(f"'{amount}' is no amount to mix; give one above zero like 205g or 180ml.")
    return _Wanted(resin_key, mass_g=asked.mass_g, volume_ml=asked.volume_ml)


def _piped(resin_key: str | None) -> _Wanted:
    """The volume of the mix that another command wrote to our standard input."""
    piped = read_piped()
    volume_ml = amount_in(piped.mix, "total_volume_ml")
    key = resin_key or piped.resin_key
    if volume_ml is None:
        raise RequestError("The JSON on standard input holds no mix with a volume above zero; check the pipe.")
    if key is None:
        raise RequestError("The JSON on standard input names no resin; add --resin.")
    return _Wanted(key, volume_ml=volume_ml, copies=piped.copies)


def _poured(text: str) -> tuple[str, float]:
    name, equals, mass = text.partition("=")
    if not equals or not name.strip():
        raise RequestError(f"'{text}' does not say how much of which part is in the cup; write it like A=104.1g.")
    grams = parse_mass_g(mass)
    if grams < 0:
        raise RequestError(f"'{text}' is below nothing; give what the scale shows of that part.")
    return name.strip(), grams
