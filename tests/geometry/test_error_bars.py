"""The stated error must hold the truth: of a resized mesh, of a room that is filled, of coarse facets among fine."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
import trimesh

from moldvol.casting.cast import CastRequest, plan_cast
from moldvol.casting.mixing.recipe import MixRequest
from moldvol.errors import UnsoundMesh
from moldvol.geometry.judging import solid_of
from moldvol.geometry.mesh import Mesh
from moldvol.geometry.reading import MeshFile, MeshPart
from moldvol.geometry.solid import Solid, SolidRequest
from moldvol.geometry.soundness.facets import FINE_MESH_FACES
from moldvol.materials.shelf import load_shelf
from tests.shapes import ball, from_trimesh, moved, together

BALL_MM = 50.0


def solid(mesh: Mesh, **options: object) -> Solid:
    file = MeshFile("part", "stl", (MeshPart("", mesh),), None, True, ())
    return solid_of(file, SolidRequest(**options))  # type: ignore[arg-type]


def holed(mesh: Mesh, hole_mm: float) -> Mesh:
    """A ball of 5 mm with a ragged hole of that radius at either pole."""
    centre = mesh.corners().mean(axis=1)
    away = np.linalg.norm(centre[:, :2], axis=1)
    ragged = hole_mm + 0.3 * np.sin(5 * np.arctan2(centre[:, 1], centre[:, 0]))
    return Mesh(mesh.vertices, mesh.faces[away > ragged])


class TestResized:
    """A height scales what the rims leave in doubt along with the volume they are held against."""

    @pytest.mark.parametrize("height_mm", [1.0, 10.0, 60.0, 600.0])
    def test_what_is_refused_as_drawn_is_refused_at_any_height(self, height_mm: float) -> None:
        mesh = holed(ball(5, 4).mesh, 3)
        for options in ({}, {"scale": 6}, {"height_mm": height_mm}):
            with pytest.raises(UnsoundMesh, match="would decide") as refused:
                solid(mesh, **options)
            assert refused.value.details["doubt_share"] == pytest.approx(0.1565, abs=0.0005)

    @pytest.mark.parametrize("height_mm", [0.5, 10.0, 600.0])
    def test_what_is_taken_as_drawn_is_taken_at_any_height(self, height_mm: float) -> None:
        mesh = holed(ball(5, 4).mesh, 0.9)
        drawn, resized = solid(mesh, unit="mm"), solid(mesh, unit="mm", height_mm=height_mm)
        factor = height_mm / drawn.size_mm[2]
        assert resized.volume_mm3 == pytest.approx(drawn.volume_mm3 * factor**3)
        assert resized.volume_error_mm3 == pytest.approx(drawn.volume_error_mm3 * factor**3)

    def test_guesswork_is_remarked_on_at_any_height(self) -> None:
        mesh = holed(ball(5, 4).mesh, 3)
        for options in ({}, {"height_mm": 60.0}):
            codes = [notice.code for notice in solid(mesh, accept_open=True, **options).notices]
            assert "open-rims" in codes


class TestFilledRooms:
    def test_a_room_does_not_make_up_for_the_facets_outside(self) -> None:
        """Cast solid, the ball lacks what its outer facets lack; the void's facets are no part of it."""
        outside, inside = ball(BALL_MM, 2).mesh, ball(48, 2).mesh.flipped()
        hollow = solid(together(outside, inside))
        truth = 4 / 3 * pi * BALL_MM**3
        assert hollow.void_volume_mm3 > 0
        assert abs(truth - hollow.outer_volume_mm3) <= hollow.outer_volume_error_mm3
        assert hollow.outer_volume_error_mm3 == pytest.approx(solid(outside).volume_error_mm3, rel=1e-3)
        assert abs(truth - 4 / 3 * pi * 48**3 - hollow.volume_mm3) <= hollow.volume_error_mm3

    def test_the_cast_of_it_carries_that_error(self) -> None:
        mesh = together(ball(BALL_MM, 2).mesh, ball(48, 2).mesh.flipped())
        resin = load_shelf().resin("fast-urethane")
        filled, kept = (
            plan_cast(solid(mesh), CastRequest(mix=MixRequest(resin=resin), keep_voids=keep)) for keep in (False, True)
        )
        truth = 4 / 3 * pi * BALL_MM**3 / 1000 * resin.cured_density_g_ml
        assert abs(truth - filled.net_mass_g) <= filled.net_mass_error_g
        assert kept.net_mass_error_g < filled.net_mass_error_g / 5


def round_bodies() -> dict[str, tuple[Mesh, float]]:
    """Inscribed meshes of round bodies, with the bodies' volumes."""
    make = trimesh.creation
    bodies = {f"ball {n}": (ball(10, n).mesh, 4 / 3 * pi * 1000) for n in (2, 3, 4)}
    for n in (12, 16, 32):
        bodies[f"column {n}"] = (from_trimesh(make.cylinder(10, 30, sections=n)), 3000 * pi)
        bodies[f"cone {n}"] = (from_trimesh(make.cone(10, 30, sections=n)), 1000 * pi)
        bodies[f"capsule {n}"] = (from_trimesh(make.capsule(30, 10, count=[n, n])), 3000 * pi + 4 / 3 * pi * 1000)
        bodies[f"globe {n}"] = (from_trimesh(make.uv_sphere(10, count=[n, n])), 4 / 3 * pi * 1000)
        ring = make.torus(40, 10, major_sections=2 * n, minor_sections=n)
        bodies[f"ring {n}"] = (from_trimesh(ring), 2 * pi**2 * 40 * 100)
    return bodies


class TestFacets:
    @pytest.mark.parametrize(("mesh", "truth"), round_bodies().values(), ids=round_bodies())
    def test_the_round_body_lies_within_the_bar(self, mesh: Mesh, truth: float) -> None:
        found = solid(mesh)
        assert 0 < truth - found.volume_mm3 <= found.volume_error_mm3

    def test_a_prism_of_few_sides_is_meant_as_one(self) -> None:
        """Eight sides turn by 45°: these are edges, and the bar is that of single precision alone."""
        prism = solid(from_trimesh(trimesh.creation.cylinder(10, 30, sections=8)))
        assert prism.volume_mm3 == pytest.approx(30 * 200 * sqrt(2), rel=1e-6)
        assert prism.volume_error_mm3 < 1e-5 * prism.volume_mm3

    def test_coarse_facets_are_seen_among_many_fine_ones(self) -> None:
        """A speck of a third of a million triangles beside a ball of 320 does not hide what the ball lacks."""
        coarse, speck = ball(BALL_MM, 2).mesh, moved(ball(0.5, 7).mesh, (60, 0, 0))
        both = solid(together(coarse, speck))
        assert both.triangles > FINE_MESH_FACES
        lack = 4 / 3 * pi * BALL_MM**3 + 4 / 3 * pi * 0.5**3 - both.volume_mm3
        assert 0.9 * both.volume_error_mm3 < lack <= both.volume_error_mm3

    def test_a_large_even_mesh_lacks_next_to_nothing(self) -> None:
        fine = solid(ball(BALL_MM, 7).mesh)
        assert fine.triangles > FINE_MESH_FACES and fine.volume_error_mm3 < 1e-4 * fine.volume_mm3
