"""A hollow cast, turned or slushed coat by coat: what the wall takes, what each coat takes, and where it closes up.

Lengths in mm, volumes in mm³, masses in g, times in s.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from moldvol.casting.allowance import Allowance, allowance_for
from moldvol.casting.hollow_part import HollowPart
from moldvol.casting.hollow_remarks import remarks_on
from moldvol.casting.learned_allowance import LearnedAllowance
from moldvol.casting.mixing.mix import density_of, plan_measured
from moldvol.casting.mixing.recipe import MixPlan, MixRequest
from moldvol.casting.mixing.setting import gel_time_s
from moldvol.errors import RequestError
from moldvol.geometry.field.reach import Pocket
from moldvol.geometry.field.shell import check_wall
from moldvol.geometry.field.volume import Volume
from moldvol.geometry.solid import Solid
from moldvol.materials.bounds import not_negative, whole_number
from moldvol.materials.cautions import caution
from moldvol.materials.mixtures.foam import FoamCharge, foam_for_core
from moldvol.materials.resin import Resin
from moldvol.notices import Notice
from moldvol.quantities import MM3_PER_ML

# A coat that still turns evenly is 1 to 2 mm: common practice, no source.
USUAL_COAT_MM = 2.0
MOST_COATS = 50
# Notices on one pot of all the resin: a hollow cast is never mixed at once, nor its mould filled and topped up.
POT_LIFE_MASS, SHRINKS = "pot-life-mass", "shrinks"
# A coat of less than this share of the shell, or than its doubt, adds nothing: the room for it has closed or filled.
LEAST_COAT_SHARE = 1e-3
NO_ROOM_FOR_FOAM = Notice(
    "nothing-to-back-fill",
    "No foam is counted: the cast leaves no room that it could reach; choose a thinner wall or another --opening.",
)
CURVE_POINTS = 16  # each takes a sixth of a second; the curve is smooth


@dataclass(frozen=True, slots=True, kw_only=True)
class HollowRequest:
    """What is to be cast hollow.

    ``mix`` names the resin, its fillers and the bench, its amount still open; ``coats`` splits the wall into so many
    equal coats, ``coat_mm`` into coats of that thickness, neither into coats of the usual one; ``backfill`` is a foam.
    """

    mix: MixRequest
    wall_mm: float
    coats: int | None = None
    coat_mm: float | None = None
    copies: int = 1
    allowance: float | None = None
    learned: LearnedAllowance | None = None
    backfill: Resin | None = None
    mixing_s: float = 60.0
    pouring_s: float = 30.0

    def __post_init__(self) -> None:
        whole_number(self.copies, 1, "number of copies")
        not_negative(self.mixing_s, "time to mix in s")
        not_negative(self.pouring_s, "time to pour in s")


@dataclass(frozen=True, slots=True, kw_only=True)
class Coat:
    """One pour: it brings the wall to ``wall_mm``; ``mass_g`` stays in one cast, ``mix`` is weighed out for it.

    ``start_s`` is when it may begin, the coat before it having gelled; ``turn_until_s`` when it has gelled itself.
    """

    number: int
    wall_mm: float
    thickness_mm: float
    volume_mm3: float
    mass_g: float
    mix: MixPlan
    start_s: float
    turn_until_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HollowPlan:
    """One hollow cast, and the resin for ``request.copies`` of them.

    ``shell`` is the resin in the wall; ``core_volume_mm3`` what stays empty, of which ``shut_in_mm3`` lies in parts
    that closed off and no back-fill reaches; ``solid_share`` the share of the surface that comes out solid.
    """

    part: HollowPart
    request: HollowRequest
    shell: Volume
    core_volume_mm3: float
    shut_in_mm3: float
    density_g_ml: float
    shell_mass_g: float
    shell_mass_error_g: float
    solid_mass_g: float
    allowed: Allowance
    coats: tuple[Coat, ...]
    closed_off: tuple[Pocket, ...]
    solid_share: float
    foam: FoamCharge | None
    mix: MixPlan
    notices: tuple[Notice, ...]

    @property
    def solid(self) -> Solid:
        """The part's mesh, judged and mended."""
        return self.part.solid

    @property
    def finished_mass_g(self) -> float:
        """Weight of one finished cast: wall and back-fill."""
        return self.shell_mass_g + (self.foam.liquid_mass_g if self.foam else 0.0)

    @property
    def foam_cost(self) -> float | None:
        """What the back-fill of all copies costs, where the shelf has a price for it."""
        foam = self.request.backfill
        if self.foam is None or foam is None or foam.price_per_kg is None:
            return None
        return self.foam.liquid_mass_g * foam.price_per_kg / 1000 * self.request.copies

    @property
    def cost(self) -> float | None:
        """Material cost of the run, back-fill included."""
        if self.mix.cost is None or (self.foam is not None and self.foam_cost is None):
            return None
        return self.mix.cost + (self.foam_cost or 0.0)

    @property
    def bench_time_s(self) -> float:
        """From the first mix to the last coat gelled, for one cast."""
        return self.coats[-1].turn_until_s

    @property
    def hardest_coat(self) -> Coat:
        """The coat whose ratio the scale holds least."""
        return _hardest(self.coats)

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions of the resin, of the foam and of trimming."""
        *most, last = self.mix.cautions
        foam = (caution("foam"),) if self.foam else ()
        return (*most, *foam, caution("dust"), last)


def plan_hollow(part: HollowPart, request: HollowRequest) -> HollowPlan:
    """The hollow cast of *part* that *request* asks for.

    Raises `RequestError` for a wall, a number of coats or an allowance that makes no sense, and for a foam.
    """
    if request.mix.resin.kind == "foam":
        raise RequestError(
            f"{request.mix.resin.name} rises and lines no wall; take a casting resin, and the foam to back-fill it."
        )
    solid, field = part.solid, part.field
    density = density_of(request.mix)
    levels = coat_levels(request)
    shells = [part.shell(level) for level in levels]
    shell = shells[-1]
    net_g = shell.volume_mm3 * density / MM3_PER_ML
    # Each coat of each cast is a cup of its own, however many casts there are.
    allowed = allowance_for(net_g / len(levels), stated=request.allowance, learned=request.learned)
    coats = _coats(request, levels, shells, density, allowed)
    closed = part.reach.closed_off(request.wall_mm)
    core = max(0.0, field.solid_mm3 - shell.volume_mm3)
    shut_in = min(core, sum(pocket.volume_mm3 for pocket in closed))
    total_ml = net_g * request.copies * (1 + allowed.share) / density
    mix = plan_measured(replace(request.mix, volume_ml=total_ml, section_mm=request.wall_mm))
    share = part.solid_share(request.wall_mm)
    error = shell.error_mm3 + _mesh_error(solid, request.wall_mm)
    whole = Volume(shell.volume_mm3, error)
    foam, of_foam = _back_filled(request.backfill, core - shut_in, whole)
    return HollowPlan(
        part=part,
        request=request,
        shell=whole,
        core_volume_mm3=core,
        shut_in_mm3=shut_in,
        density_g_ml=density,
        shell_mass_g=net_g,
        shell_mass_error_g=error * density / MM3_PER_ML,
        solid_mass_g=field.solid_mm3 * density / MM3_PER_ML,
        allowed=allowed,
        coats=coats,
        closed_off=closed,
        solid_share=share,
        foam=foam,
        mix=mix,
        notices=(
            *remarks_on(part, request.mix.resin, request.wall_mm, core_mm3=core, turning_s=_turning_s(request)),
            *_left_out(levels, coats),
            *allowed.notices,
            *of_foam,
            *_of_coats(coats),
        ),
    )


def coat_levels(request: HollowRequest) -> list[float]:
    """The wall after each coat, mm, the last being the whole wall.

    Raises `RequestError` for a wall that is no length, and for coats that are none, too many, or thicker than the wall
    together with a count.
    """
    wall, coats = request.wall_mm, request.coats
    check_wall(wall)
    if coats is not None and request.coat_mm is not None:
        raise RequestError("Give either the number of coats or the thickness of one, not both.")
    if coats is None:
        thickness = USUAL_COAT_MM if request.coat_mm is None else request.coat_mm
        if not thickness > 0:
            raise RequestError(f"A coat of {thickness:g} mm adds nothing; give one above 0 mm.")
        coats = max(1, ceil(wall / thickness - 1e-9))
    if whole_number(coats, 1, "number of coats") > MOST_COATS:
        raise RequestError(f"{coats} coats are not a cast; between 1 and {MOST_COATS} can be planned.")
    if request.coat_mm is not None:
        return [min(wall, number * request.coat_mm) for number in range(1, coats + 1)]
    return [wall * number / coats for number in range(1, coats + 1)]


def with_backfill(plan: HollowPlan, foam: Resin) -> HollowPlan:
    """The same cast with its core filled by *foam*."""
    charge, said = _back_filled(foam, plan.core_volume_mm3 - plan.shut_in_mm3, plan.shell)
    return replace(plan, request=replace(plan.request, backfill=foam), foam=charge, notices=(*plan.notices, *said))


def shell_curve_of(part: HollowPart, most_mm: float) -> tuple[tuple[float, ...], tuple[Volume, ...]]:
    """Walls up to *most_mm* and the shell at each, parts closing off as they do."""
    walls = tuple(most_mm * step / CURVE_POINTS for step in range(1, CURVE_POINTS + 1))
    return walls, tuple(part.shell(wall) for wall in walls)


def _coats(
    request: HollowRequest, levels: Sequence[float], shells: Sequence[Volume], density: float, allowed: Allowance
) -> tuple[Coat, ...]:
    coats: list[Coat] = []
    start, before_mm, before_mm3 = 0.0, 0.0, 0.0
    gel = gel_time_s(request.mix)
    for number, (wall, shell) in enumerate(zip(levels, shells, strict=True), start=1):
        # A coat can only add; where two estimates of a thin coat cross by their errors it adds nothing.
        volume = max(shell.volume_mm3 - before_mm3, 0.0)
        if coats and volume <= max(shell.error_mm3, LEAST_COAT_SHARE * shell.volume_mm3):
            continue
        needed_ml = max(volume, 1e-6) * (1 + allowed.share) / MM3_PER_ML
        if coats and needed_ml * density < request.mix.scale.readability_g:  # the last bit of a room that closes
            continue
        mix = plan_measured(replace(request.mix, volume_ml=needed_ml, section_mm=wall))
        # From mixing on the resin sets: it has gelled a gel time after its parts met, however long pouring took.
        until = start + max(gel, request.mixing_s + request.pouring_s)
        coats.append(
            Coat(
                number=number,
                wall_mm=wall,
                thickness_mm=wall - before_mm,
                volume_mm3=volume,
                mass_g=volume * density / MM3_PER_ML,
                mix=mix,
                start_s=start,
                turn_until_s=until,
            )
        )
        start, before_mm, before_mm3 = until, wall, max(shell.volume_mm3, before_mm3)
    return tuple(coats)


def _hardest(coats: Sequence[Coat]) -> Coat:
    return max(coats, key=lambda coat: coat.mix.ratio_error_percent)


def _of_coats(coats: Sequence[Coat]) -> tuple[Notice, ...]:
    """What is to be said of the mixes: each coat is mixed by itself, never all of them at once.

    Of the scale by the coat that it holds least, of a pot that heats up by the heaviest.
    """
    heaviest = max(coats, key=lambda coat: coat.mix.total_mass_g)
    hot = (notice for notice in heaviest.mix.notices if notice.code == POT_LIFE_MASS)
    said = (notice for notice in _hardest(coats).mix.notices if notice.code not in (POT_LIFE_MASS, SHRINKS))
    return (*said, *hot)


def _turning_s(request: HollowRequest) -> float:
    """What is left of the gel time when a coat is in the mould."""
    return gel_time_s(request.mix) - request.mixing_s - request.pouring_s


def _back_filled(foam: Resin | None, room_mm3: float, shell: Volume) -> tuple[FoamCharge | None, tuple[Notice, ...]]:
    """The charge of *foam* for the room that can be reached, none where that is less than the *shell*'s error, and what
    is to be said of it."""
    charge = foam_in(foam, room_mm3 if room_mm3 > shell.error_mm3 else 0.0)
    if charge is not None:
        return charge, charge.notices
    return None, () if foam is None else (NO_ROOM_FOR_FOAM,)


def foam_in(foam: Resin | None, volume_mm3: float) -> FoamCharge | None:
    """The charge of *foam* that fills *volume_mm3*; None where there is none of either.

    Raises `RequestError` for a resin that does not foam.
    """
    if foam is None or volume_mm3 <= 0:
        return None
    if foam.kind != "foam":
        raise RequestError(f"{foam.name} does not foam, so it cannot back-fill a core; choose a foam of the shelf.")
    if foam.overpack is None:
        return foam_for_core(volume_mm3, foam.cured_density_g_ml)
    return foam_for_core(volume_mm3, foam.cured_density_g_ml, overpack=foam.overpack)


def _mesh_error(solid: Solid, wall_mm: float) -> float:
    """What the mesh's own doubt can do to a shell: at most the doubt itself, and of it the share near the surface."""
    near = solid.area_mm2 * wall_mm / max(solid.outer_volume_mm3, 1e-300)
    return solid.outer_volume_error_mm3 * min(1.0, near)


def _left_out(levels: Sequence[float], coats: Sequence[Coat]) -> tuple[Notice, ...]:
    if len(coats) == len(levels):
        return ()
    told = "the first is" if len(coats) == 1 else f"the first {len(coats)} are"
    return (
        Notice(
            "coats-left-out",
            f"Of {len(levels)} coats only {told} needed: by then hardly any room is left that resin can reach, and "
            "more would add next to nothing; choose a thinner wall or another --opening.",
        ),
    )
