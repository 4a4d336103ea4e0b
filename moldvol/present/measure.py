"""How a measured mesh is told."""

from __future__ import annotations

from typing import Any

from moldvol.casting.measure import MeasurePlan
from moldvol.geometry.solid import Reading, Solid
from moldvol.geometry.wall.caliper import Wall
from moldvol.present import numbers
from moldvol.present.as_json import warnings
from moldvol.present.numbers import Units
from moldvol.present.report import Report, Row, Section, Table, grave, messages
from moldvol.present.words import tell

MOST_BODIES_SHOWN = 20
UNIT_SOURCES = {"file": "stated in the file", "option": "as you said", "assumed": "assumed: the file states none"}


def report(plan: MeasurePlan, units: Units) -> Report:
    """The sheet of a measured mesh."""
    return solid_report(plan.solid, units, "The part").followed_by(wall_section(plan.wall, units))


def solid_report(solid: Solid, units: Units, job: str = "") -> Report:
    """What was read and whether it can be trusted: the head of every sheet that starts from a mesh; *job* is made."""
    sections = [_read_section(solid, units)]
    if len(solid.bodies) > 1:
        sections.append(_bodies_section(solid, units))
    if solid.mendings:
        sections.append(Section("Mended", remarks=tuple(tell(mending) for mending in solid.mendings)))
    return Report(
        title=solid.name,
        verdict=verdict(solid, units),
        sections=tuple(sections),
        warnings=messages(solid.notices),
        grave=grave(solid.notices),
        job=job,
        about=(
            Row("File", solid.name),
            Row("Unit", solid.unit, UNIT_SOURCES[solid.unit_source]),
            Row("Size", numbers.size(solid.size_mm)),
        ),
        line=line_about(solid, f"{verdict(solid, units)} {' '.join(numbers.size(solid.size_mm).split())}."),
    )


def line_about(solid: Solid, said: str) -> str:
    """What is *said* of a solid in a line."""
    return f"{solid.name}: {said}"


def verdict(solid: Solid, units: Units) -> str:
    """One line first: can it be trusted, how many parts, how much."""
    trust = "Closed solid" if solid.closed else "Open as read, closed by mending"
    if solid.closed and solid.mendings:
        trust = "Closed after small fixes"
    bodies = f"{len(solid.bodies)} bodies" if len(solid.bodies) > 1 else "1 body"
    taken = "; its sealed room is taken as the cast" if solid.reading is Reading.CAVITY else ""
    return f"{trust}, {bodies}{taken}. {numbers.volume(solid.volume_mm3, units)}."


def _read_section(solid: Solid, units: Units) -> Section:
    rows = [
        Row("Read", f"{solid.triangles:,} triangles, {solid.format.upper()}"),
        Row("Drawn in", solid.unit, UNIT_SOURCES[solid.unit_source]),
        Row("Size", numbers.size(solid.size_mm)),
        Row("Volume", numbers.volume(solid.volume_mm3, units), _error(solid, units), "strong"),
    ]
    if solid.void_volume_mm3 > 1e-3 * solid.outer_volume_mm3:
        doubt = f"± {numbers.volume(solid.outer_volume_error_mm3, units, 2)}, sealed rooms filled"
        rows.append(Row("Outer volume", numbers.volume(solid.outer_volume_mm3, units), doubt))
    rows.append(Row("Surface", numbers.area(solid.area_mm2, units)))
    return Section("The mesh", tuple(rows))


def _error(solid: Solid, units: Units) -> str:
    share = solid.volume_error_mm3 / solid.volume_mm3
    if share < 5e-4:
        return "exact to 0.05 % for this mesh"
    return f"± {numbers.volume(solid.volume_error_mm3, units, 2)} ({numbers.per_cent(share)})"


def _bodies_section(solid: Solid, units: Units) -> Section:
    shown = solid.bodies[:MOST_BODIES_SHOWN]
    rows = tuple(
        (
            str(number),
            body.name or "–",
            f"{body.triangles:,}",
            " × ".join(numbers.significant(side, 3) for side in body.size_mm),
            numbers.volume(body.volume_mm3, units),
            body.role,
        )
        for number, body in enumerate(shown, start=1)
    )
    more = len(solid.bodies) - len(shown)
    return Section(
        "Bodies",
        table=Table(("", "name", "triangles", "size mm", "volume", "is"), rows, frozenset({2, 4})),
        remarks=(f"… and {more:,} more.",) if more else (),
    )


def wall_section(wall: Wall, units: Units) -> Section:
    """The wall as calipers feel it."""
    rows = [
        Row("Thin end", numbers.length(wall.thin_mm, units), "a twentieth of the surface is thinner"),
        Row("Median", numbers.length(wall.median_mm, units)),
        Row("Thinnest", numbers.length(wall.thinnest_mm, units), f"at {numbers.place(wall.thinnest_at_mm)}"),
        Row(
            "Thickest",
            numbers.length(wall.thick_mm, units),
            f"largest ball that fits, at {numbers.place(wall.thickest_at_mm)}",
        ),
    ]
    if wall.thin_limit_mm is not None and wall.thin_share is not None:
        limit = numbers.length(wall.thin_limit_mm, units)
        rows.append(Row(f"Below {limit}", numbers.per_cent(wall.thin_share), "of the surface"))
    remarks: tuple[str, ...] = ()
    if wall.resolution_mm:
        coarse = numbers.length(wall.resolution_mm, units)
        remarks = (f"Felt on a simplified copy of this large mesh; details below {coarse} are smoothed.",)
    return Section("The wall", tuple(rows), remarks=remarks)


def solid_json(solid: Solid) -> dict[str, Any]:
    """The keys that every mesh command gives."""
    return {
        "file": solid.name,
        "format": solid.format,
        "unit": solid.unit,
        "unit_source": solid.unit_source,
        "triangles": solid.triangles,
        "bodies": len(solid.bodies),
        "body_list": [
            {
                "name": body.name,
                "triangles": body.triangles,
                "size_mm": body.size_mm,
                "volume_mm3": body.volume_mm3,
                "is": body.role,
            }
            for body in solid.bodies[:1000]
        ],
        "size_mm": solid.size_mm,
        "closed": solid.closed,
        "sound": True,
        "taken_as": solid.reading.value,
        "mendings": [
            {
                "what": mending.what,
                "count": mending.count,
                "at_mm": mending.at_mm,
                "volume_change_mm3": mending.volume_change_mm3,
                "volume_doubt_mm3": mending.doubt_mm3,
                "message": tell(mending),
            }
            for mending in solid.mendings
        ],
        "volume_mm3": solid.volume_mm3,
        "volume_error_mm3": solid.volume_error_mm3,
        "outer_volume_mm3": solid.outer_volume_mm3,
        "outer_volume_error_mm3": solid.outer_volume_error_mm3,
        "area_mm2": solid.area_mm2,
        "warnings": warnings(solid.notices),
    }


def wall_json(wall: Wall) -> dict[str, Any]:
    """The ``wall`` object of the contract."""
    return {
        "thin_mm": wall.thin_mm,
        "median_mm": wall.median_mm,
        "thick_mm": wall.thick_mm,
        "thinnest_mm": wall.thinnest_mm,
        "thinnest_at_mm": wall.thinnest_at_mm,
        "thickest_at_mm": wall.thickest_at_mm,
        "thin_limit_mm": wall.thin_limit_mm,
        "thin_share": wall.thin_share,
        "resolution_mm": wall.resolution_mm,
    }


def document(plan: MeasurePlan) -> dict[str, Any]:
    """The plan as one JSON object."""
    return {**solid_json(plan.solid), "wall": wall_json(plan.wall)}
