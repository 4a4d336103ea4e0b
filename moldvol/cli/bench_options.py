"""Options for what stands on the bench: scale, pots, temperature, fillers. No numpy here: `mix` starts at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal, cast

import click

from moldvol.cli.options import gathered
from moldvol.cli.types import ALLOWANCE, DURATION, LEARNED, MASS, MASS_OR_NONE, SHARE, TEMPERATURE, VOLUME
from moldvol.errors import RequestError
from moldvol.quantities import parse_share

if TYPE_CHECKING:
    from moldvol.casting.learned_allowance import LearnedAllowance
    from moldvol.casting.mixing.pots import PotPlan
    from moldvol.casting.mixing.recipe import MixRequest
    from moldvol.casting.pour_book import PourBook
    from moldvol.materials.mixtures.additions import Addition
    from moldvol.materials.resin import Resin
    from moldvol.materials.shelf import Shelf
    from moldvol.materials.weighing.pot_loss import PotLoss
    from moldvol.materials.weighing.scales import AccuracyClass, Scale


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchOptions:
    """The bench as typed. A command that has no use for the scale or the pots does not ask for them."""

    bench_c: float | None
    additions: tuple[str, ...]
    catalyst: float | None
    mixing_s: float
    pouring_s: float
    readability_g: float = 1.0
    accuracy_class: str | None = None
    capacity_g: float | None = None
    pot_ml: float | None = None
    usable_share: float = 0.7
    pot_loss_g: float | None = None

    def scale(self) -> Scale:
        """The scale these options describe."""
        from moldvol.materials.weighing.scales import Scale

        return Scale(
            readability_g=self.readability_g,
            accuracy_class=cast("AccuracyClass | None", self.accuracy_class),
            capacity_g=self.capacity_g,
        )

    @property
    def cup_loss_g(self) -> float:
        """What stays in the one cup there is when no pots are named."""
        return 0.0 if self.pot_ml is not None else self.pot_loss_g or 0.0

    def refuse_lone_loss(self) -> None:
        """Raise `RequestError` where a loss in each pot is stated, but no pot."""
        if self.cup_loss_g:
            raise RequestError(
                "--per-pot-loss is what stays in each pot; say with --pot how large they are, or leave it out."
            )

    def fillers(self, shelf: Shelf) -> tuple[Addition, ...]:
        """What is stirred in beside the resin's own parts."""
        return additions_of(self.additions, shelf)

    def request(
        self,
        resin: Resin,
        shelf: Shelf,
        *,
        mass_g: float | None = None,
        volume_ml: float | None = None,
        section_mm: float | None = None,
        poured: Sequence[tuple[str, float]] = (),
    ) -> MixRequest:
        """The mix these options ask for."""
        from moldvol.casting.mixing.recipe import MixRequest

        return MixRequest(
            resin=resin,
            mass_g=mass_g,
            volume_ml=volume_ml,
            additions=self.fillers(shelf),
            scale=self.scale(),
            bench_c=self.bench_c,
            catalyst_percent=None if self.catalyst is None else self.catalyst * 100,
            section_mm=section_mm,
            poured=dict(poured),
        )

    def pots(self, request: MixRequest, *, loss_counted: bool = False) -> PotPlan | None:
        """*request* split over the pots at hand; None where no pot was named.

        With *loss_counted* what stays in the pots is in the request already, as in an allowance learned from pours.
        """
        if self.pot_ml is None:
            return None
        from moldvol.casting.mixing.pots import Pots, plan_pots

        loss = self._pot_loss(request.resin, self.pot_ml, loss_counted)
        pots = Pots(
            pot_ml=self.pot_ml,
            usable_share=self.usable_share,
            mixing_s=self.mixing_s,
            pouring_s=self.pouring_s,
            loss_g=loss.mass_g,
            loss_origin=str(loss.grade),
            loss_notices=loss.notices,
        )
        return plan_pots(request, pots)

    def _pot_loss(self, resin: Resin, pot_ml: float, loss_counted: bool) -> PotLoss:
        from moldvol.materials.grade import Grade
        from moldvol.materials.weighing.pot_loss import PotLoss, liquid_density_g_ml, pot_loss

        content_g = pot_ml * self.usable_share * liquid_density_g_ml(resin)
        if self.pot_loss_g is None and not loss_counted:
            return pot_loss(resin, content_g, capacity_ml=pot_ml)
        loss_g = self.pot_loss_g or 0.0
        return PotLoss(mass_g=loss_g, share=loss_g / content_g, grade=Grade("own figure"))


add_option = click.option(
    "--add",
    "additions",
    multiple=True,
    metavar="NAME=AMOUNT",
    help="Stir in a filler or pigment: chalk=30% by weight of resin, bronze-powder=100%v by volume.",
)
_scale_options = (
    click.option("--readability", "readability_g", type=MASS, default="1g", help="Step of your scale's display: 0.1g."),
    click.option(
        "--scale-class",
        "accuracy_class",
        type=click.Choice(["I", "II", "III", "IIII"]),
        help="Accuracy class on the scale's plate, if it has one.",
    ),
    click.option("--capacity", "capacity_g", type=MASS, help="Most the scale can carry, e.g. 3kg."),
)
_mix_options = (
    click.option("--bench", "bench_c", type=TEMPERATURE, help="Temperature at the bench, e.g. 22c or 72f."),
    add_option,
    click.option("--catalyst", type=SHARE, help="A polyester's catalyst by weight, if not the usual, e.g. 1.5%."),
)
_pot_options = (
    click.option("--pot", "pot_ml", type=VOLUME, help="Mix in pots of this size, e.g. 250ml."),
    click.option("--usable", "usable_share", type=SHARE, default="70%", help="Share of a pot that may be filled."),
)
_pace_options = (
    click.option("--mixing", "mixing_s", type=DURATION, default="1min", help="Time to mix one pot."),
    click.option("--pouring", "pouring_s", type=DURATION, default="30s", help="Time to pour one pot."),
)
_loss_option = click.option(
    "--per-pot-loss",
    "pot_loss_g",
    type=MASS_OR_NONE,
    help="What stays in each pot, e.g. 3g; without it from the resin's viscosity.",
)
bench_options = gathered(
    BenchOptions, "bench", *_scale_options, *_mix_options, *_pot_options, *_pace_options, _loss_option
)
# A coat of a hollow cast is one small mix, never split over pots.
coat_options = gathered(BenchOptions, "bench", *_scale_options, *_mix_options, *_pace_options)


@dataclass(frozen=True, slots=True, kw_only=True)
class AllowanceOptions:
    """What is to be added for waste, as typed."""

    allowance: float | Literal["learned"] | None
    book: Path | None

    @property
    def stated(self) -> float | None:
        """The share the user has given; None for the usual one or one to be learned."""
        return None if isinstance(self.allowance, str) else self.allowance

    def learned(self, file: str, resin_key: str, *, making: bool = False) -> LearnedAllowance | None:
        """What the pour book says of the mould of *file*, else of the resin; None if it is not to be asked.

        With *making* it is the rubber of that mould itself which is poured, not a cast in it.
        """
        if self.allowance != LEARNED:
            return None
        from moldvol.casting.learned_allowance import learned_allowance
        from moldvol.casting.pour_book import mould_made_from, mould_named_by

        named = mould_made_from if making else mould_named_by
        return learned_allowance(book_at(self.book), mould=None if file == "-" else named(file), resin=resin_key)

    def learned_of(self, file: str, resin_keys: Sequence[str]) -> dict[str, LearnedAllowance]:
        """The same for several resins, by their keys; empty if the book is not to be asked."""
        learned = {key: self.learned(file, key) for key in resin_keys}
        return {key: taught for key, taught in learned.items() if taught is not None}


def book_at(place: Path | None) -> PourBook:
    """The pour book in the file *place*, or in its usual one."""
    from moldvol.casting.pour_book import PourBook, usual_book

    return PourBook(place or usual_book())


book_option = click.option(
    "--book", type=click.Path(path_type=Path), help="The pour book, if not the usual one in your data folder."
)
allowance_options = gathered(
    AllowanceOptions,
    "waste",
    click.option(
        "--allowance",
        type=ALLOWANCE,
        metavar="SHARE|learned",
        help="Share added for waste, e.g. 8%; without it the usual for the amount; 'learned' from your pour book.",
    ),
    book_option,
)


def additions_of(texts: Sequence[str], shelf: Shelf) -> tuple[Addition, ...]:
    """The fillers and pigments typed as ``chalk=30%``."""
    return tuple(_addition(text, shelf) for text in texts)


def _addition(text: str, shelf: Shelf) -> Addition:
    """``chalk=30%`` by weight or ``bronze-powder=100%v`` by volume."""
    from moldvol.materials.mixtures.additions import Addition

    name, equals, amount = text.partition("=")
    if not equals:
        raise RequestError(f"'{text}' states no amount; write it like chalk=30% or bronze-powder=100%v.")
    filler = shelf.filler(name.strip())
    by_volume = amount.strip().casefold().endswith("v")
    parts = 100 * parse_share(amount.strip().rstrip("vV"))
    if parts <= 0:
        raise RequestError(f"'{text}' adds nothing; give an amount above 0%.")
    return Addition(filler=filler, by_volume=parts) if by_volume else Addition(filler=filler, by_weight=parts)
