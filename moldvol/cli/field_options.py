"""Options of the commands that read from a distance field."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

import click

from moldvol.cli.options import gathered
from moldvol.cli.types import DETAIL, OPENING

if TYPE_CHECKING:
    from moldvol.casting.hollow_part import HollowPart
    from moldvol.geometry.field.opening import Opening
    from moldvol.geometry.solid import Solid


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldOptions:
    """How finely a part is measured and where resin enters, as typed."""

    detail: int
    opening_at: str | tuple[float, float, float] | None

    def part(self, solid: Solid, progress: Callable[[float], None] | None) -> HollowPart:
        """*solid* with the distance field of its outside and the reach from the opening."""
        from moldvol.casting.hollow_part import HollowPart, field_of

        field = field_of(solid, interior_points=self.detail, progress=progress)
        return HollowPart.of(solid, field, cast("Opening", self.opening_at))


field_options = gathered(
    FieldOptions,
    "measured",
    click.option("--detail", type=DETAIL, default="250k", help="Points inside the part that are measured, e.g. 1m."),
    click.option(
        "--opening",
        "opening_at",
        type=OPENING,
        metavar="bottom|top|X,Y,Z",
        help="Where resin enters; without it the lowest flat face.",
    ),
)
