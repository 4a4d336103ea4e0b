"""From a mesh file to a sound solid: read, put in mm, mended, judged, and what is to be remarked of it.

Lengths in mm, areas in mm², volumes in mm³.
"""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from moldvol.errors import MeshError, RequestError, UnsoundMesh
from moldvol.geometry.mesh import Mesh, join
from moldvol.geometry.reading import MeshFile, MeshPart, read_mesh
from moldvol.geometry.remarks import remarks_on
from moldvol.geometry.solid import Body, Reading, Solid, SolidRequest
from moldvol.geometry.soundness.bodies import label_bodies
from moldvol.geometry.soundness.draft import Draft, Mending
from moldvol.geometry.soundness.edges import EdgeCensus
from moldvol.geometry.soundness.facets import facet_shortfall
from moldvol.geometry.soundness.mending import mend
from moldvol.geometry.soundness.nesting import Nest, Role, Shell, labels_to_shells, nest
from moldvol.geometry.soundness.self_crossing import DoubledVolume, doubled_volume
from moldvol.geometry.units import MM_PER_UNIT

# Rims that decide more than this share of the volume make the number dishonest.
MOST_DOUBT_SHARE = 0.05
FLOAT32_STEP = 2.0**-24
# What facets lack is told to leading order: of coarse balls it fell short by up to 5 % of itself, of rings of twelve
# sides by 10 %, and the bar must hold the truth.
FACETS_SAFETY = 1.1
MOST_COPIED_VERTICES = 500_000
# A ball has V = 0.094 A^1.5; below this there is only rounding between two skins.
LEAST_FULLNESS = 1e-9


def read_solid(
    source: Path | str | bytes,
    request: SolidRequest | None = None,
    *,
    name: str | None = None,
    format: str | None = None,  # noqa: A002  the word users type
    allow_partial: bool = False,
) -> Solid:
    """The solid in the mesh file *source*: read, put in mm, mended and judged.

    Raises `UnreadableMesh` when the file is no mesh, `UnsoundMesh` when it encloses nothing that can be trusted.
    """
    return solid_of(read_mesh(source, name=name, format=format, allow_partial=allow_partial), request)


def solid_of(file: MeshFile, request: SolidRequest | None = None) -> Solid:
    """The solid in an already read mesh *file*."""
    request = request or SolidRequest()
    try:
        return _solid_of(file, request)
    except MeshError as error:
        raise error.about(file.name) from None


def _solid_of(file: MeshFile, request: SolidRequest) -> Solid:
    if request.height_mm is not None and request.scale != 1:
        raise RequestError("Give either --height or --scale: both say how large the part is.")
    parts = _chosen(file, request.part)
    unit, unit_source = _unit(file, request)
    joined = join([part.mesh for part in parts])
    factor = MM_PER_UNIT[unit] * request.scale
    draft = Draft(file.name, _prepared(joined, factor), _part_numbers(parts))
    draft = mend(draft, welded=file.welded and len(parts) == 1, repair=request.repair)
    draft = _at_height(draft, request.height_mm)
    nested = nest(_shells(draft), inner_are_voids=request.inner_are_voids)
    crossing = _self_crossing(nested)
    solid = _assembled(file, parts, draft, nested, crossing, request, unit, unit_source, len(joined.faces))
    _refuse_guesswork(solid, draft, request)
    resized = request.height_mm is not None or request.scale != 1
    return replace(solid, notices=(*file.notices, *remarks_on(solid, nested, draft, crossing, resized=resized)))


def _chosen(file: MeshFile, wanted: str | None) -> tuple[MeshPart, ...]:
    """All parts, or the one named or numbered (from 1) by *wanted*."""
    if wanted is None:
        return file.parts
    named = [part for part in file.parts if part.name == wanted]
    if not named and wanted.isdecimal() and 0 < int(wanted) <= len(file.parts):
        named = [file.parts[int(wanted) - 1]]
    if not named:
        names = ", ".join(f"{i} {part.name}".strip() for i, part in enumerate(file.parts[:10], start=1))
        raise RequestError(f"{file.name} has no part '{wanted}'; it holds: {names}.", file=file.name)
    return tuple(named)


def _unit(file: MeshFile, request: SolidRequest) -> tuple[str, str]:
    if request.unit is not None:
        return request.unit, "option"
    if file.unit is not None:
        return file.unit, "file"
    return "mm", "assumed"


def mesh_kept_as_read(file: MeshFile, request: SolidRequest | None = None) -> Mesh | None:
    """The mesh of *file* that its solid will have, if it is sound; None where the solid has a copy in any case."""
    request = request or SolidRequest()
    if len(file.parts) > 1 or request.part is not None or request.reading is not Reading.SOLID:
        return None
    mesh = file.parts[0].mesh
    return mesh if _is_kept(mesh, MM_PER_UNIT[_unit(file, request)[0]] * request.scale) else None


def _is_kept(mesh: Mesh, factor: float) -> bool:
    """Whether *mesh* is large and already in mm: a copy in double precision would triple the memory."""
    return mesh.vertices.dtype == np.float32 and factor == 1 and len(mesh.vertices) > MOST_COPIED_VERTICES


def _prepared(mesh: Mesh, factor: float) -> Mesh:
    """*mesh* in mm."""
    return mesh if _is_kept(mesh, factor) else Mesh(mesh.vertices.astype(np.float64) * factor, mesh.faces)


def _part_numbers(parts: tuple[MeshPart, ...]) -> NDArray[np.int32]:
    return np.repeat(np.arange(len(parts), dtype=np.int32), [len(part.mesh.faces) for part in parts])


def _at_height(draft: Draft, height_mm: float | None) -> Draft:
    """*draft* scaled so that its z extent is *height_mm*; places and volumes told of the mendings scale along."""
    if height_mm is None:
        return draft
    extent = float(draft.mesh.size_mm[2])
    if extent == 0:
        raise UnsoundMesh(f"{draft.name} has no height along z to scale; turn the model upright.", file=draft.name)
    return draft.scaled(height_mm / extent)


def _shells(draft: Draft) -> list[Shell]:
    census = draft.census or EdgeCensus.of(draft.mesh)
    if not census.closed:
        raise UnsoundMesh(
            f"{draft.name} could not be closed: {int(np.count_nonzero(census.net))} edges stay unmatched; "
            "repair it in a modelling program and export it again.",
            file=draft.name,
        )
    labels = label_bodies(draft.mesh, census)
    if labels.max(initial=0) == 0:
        return [Shell.of(draft.mesh, frozenset(np.flatnonzero(np.bincount(draft.part_of_face)).tolist()))]
    shells = labels_to_shells(draft.mesh, labels, draft.part_of_face)
    # Folded slivers left by caps bound nothing and are no bodies.
    least = 1e-9 * max(shell.volume_mm3 for shell in shells)
    return [shell for shell in shells if shell.volume_mm3 > least] or shells[:1]


def _material(nested: Nest) -> list[Shell]:
    """The skins that bound material: outward skins of solids, inward skins of voids."""
    return [shell for shell in nested.shells if shell.role is not Role.BURIED]


def _self_crossing(nested: Nest) -> DoubledVolume | None:
    """What the skins of material count twice after all exact unions: bodies through themselves, and refused unions."""
    material = _material(nested)
    volume = sum(shell.signed_volume_mm3 for shell in material)
    return doubled_volume(join([shell.mesh for shell in material]), volume)


def _assembled(
    file: MeshFile,
    parts: tuple[MeshPart, ...],
    draft: Draft,
    nested: Nest,
    crossing: DoubledVolume | None,
    request: SolidRequest,
    unit: str,
    unit_source: str,
    triangles: int,
) -> Solid:
    skins, outermost = _skins(file, nested, request.reading)
    mesh = join([shell.mesh for shell in skins])
    outer = mesh if len(outermost) == len(skins) else join([shell.mesh for shell in outermost])
    volume, outer_volume = (sum(shell.signed_volume_mm3 for shell in some) for some in (skins, outermost))
    area = sum(shell.area_mm2 for shell in skins)
    excess = crossing.excess_mm3 if crossing else 0.0
    doubt = sum(mending.doubt_mm3 for mending in draft.mendings) + (crossing.error_mm3 if crossing else 0.0)
    doubt += _rounding_error(mesh, area)
    shortfall = facet_shortfall(mesh, max(shell.largest_mm2 for shell in skins) / area)
    # A void's facets make up for some of what the outside lacks, but not where the void is filled.
    outer_shortfall = shortfall if outer is mesh else facet_shortfall(outer)
    return Solid(
        name=file.name,
        format=file.format,
        unit=unit,
        unit_source=unit_source,
        triangles=triangles,
        bodies=tuple(_body(shell, parts) for shell in nested.shells),
        closed=draft.closed_as_read,
        mendings=(*draft.mendings, *_nest_mendings(nested, crossing)),
        notices=(),
        mesh=mesh,
        outer=outer,
        volume_mm3=volume - excess,
        volume_error_mm3=doubt + FACETS_SAFETY * abs(shortfall),
        area_mm2=area,
        outer_volume_mm3=outer_volume - excess,
        outer_volume_error_mm3=doubt + FACETS_SAFETY * abs(outer_shortfall),
        void_volume_mm3=max(0.0, outer_volume - volume),
        facet_shortfall_mm3=shortfall,
        reading=request.reading,
    )


def _skins(file: MeshFile, nested: Nest, reading: Reading) -> tuple[list[Shell], list[Shell]]:
    """The skins of the material and the outermost skins, for what the mesh is taken as."""
    if reading is Reading.CAVITY:
        rooms = [shell.turned() for shell in nested.shells if shell.role is Role.VOID]
        if not rooms:
            raise RequestError(
                f"{file.name} has no sealed room inside to take as a cavity; leave --as cavity out, or use "
                "'moldvol fill' for a mould that is open at the top.",
                file=file.name,
            )
        return rooms, rooms
    return _material(nested), [shell for shell in nested.shells if shell.parent is None]


def _body(shell: Shell, parts: tuple[MeshPart, ...]) -> Body:
    names = [parts[i].name for i in sorted(shell.parts)[:3]]
    x, y, z = shell.mesh.size_mm
    return Body(
        name=" + ".join(filter(None, names)),
        triangles=len(shell.mesh.faces),
        size_mm=(float(x), float(y), float(z)),
        volume_mm3=shell.volume_mm3,
        role=shell.role.value,
    )


def _nest_mendings(nested: Nest, crossing: DoubledVolume | None) -> list[Mending]:
    mendings = []
    if nested.inside_out:
        mendings.append(Mending("inside_out_turned", count=nested.inside_out))
    if nested.counted_twice_mm3:
        mendings.append(
            Mending("overlap_united", at_mm=nested.counted_twice_at_mm, volume_change_mm3=-nested.counted_twice_mm3)
        )
    buried = [shell for shell in nested.shells if shell.role is Role.BURIED]
    if buried:
        change = -sum(shell.sign * shell.volume_mm3 for shell in buried)
        mendings.append(Mending("buried_body_left_out", count=len(buried), volume_change_mm3=change))
    if crossing:
        mendings.append(Mending("self_crossing", volume_change_mm3=-crossing.excess_mm3, doubt_mm3=crossing.error_mm3))
    return mendings


def _rounding_error(mesh: Mesh, area_mm2: float) -> float:
    """What storing coordinates in single precision may do to the volume: three sigma of independent roundings."""
    step = float(np.abs(mesh.bounds).max()) * FLOAT32_STEP
    return 3 * step * area_mm2 / sqrt(max(len(mesh.vertices), 1))


def _refuse_guesswork(solid: Solid, draft: Draft, request: SolidRequest) -> None:
    if solid.volume_mm3 <= LEAST_FULLNESS * solid.area_mm2**1.5:
        raise UnsoundMesh(
            f"{draft.name} encloses nothing: its skins cancel each other; export the model again as one closed solid.",
            file=draft.name,
        )
    doubt = sum(rim.doubt_mm3 for rim in draft.rims)
    share = doubt / solid.volume_mm3
    if share > MOST_DOUBT_SHARE and not request.accept_open:
        worst = max(draft.rims, key=lambda rim: rim.doubt_mm3)
        x, y, z = worst.at_mm
        raise UnsoundMesh(
            f"{draft.name} is open: closing its {len(draft.rims)} rim(s), the largest {worst.across_mm:.3g} mm across "
            f"at ({x:.4g}, {y:.4g}, {z:.4g}) mm, would decide {_per_cent(share)} of the volume; close it in your "
            "scanning or modelling program, or pass --accept-open to take that error.",
            file=draft.name,
            code="open",
            at_mm=list(worst.at_mm),
            doubt_share=min(share, 1e9),
        )


def _per_cent(share: float) -> str:
    return f"{100 * share:.0f} %" if share < 10 else "most"
