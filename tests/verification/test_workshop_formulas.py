"""Workshop figures against numbers printed by others, each with where it was printed.

Three kinds, kept apart because they do not weigh the same: *printed* values stand in a standard, a table or a paper;
*memory* values are widely printed but were not looked up; *arithmetic* only shows that the stated formula is what runs.
"""

from __future__ import annotations

import pytest

from moldvol.materials.foam import foam_for_core
from moldvol.materials.laminate import LayUp, laminate, layer_thickness_mm, parse_areal_weight_g_m2
from moldvol.materials.plaster import (
    hydration_water_percent,
    plaster_adiabatic_rise_c,
    plaster_for_bag,
    plaster_for_volume,
)
from moldvol.materials.pressure import Vessel, bubble_shrinkage, vacuum_lid_force_n, vessel_hazard
from moldvol.materials.shrinkage import linear_from_volumetric, master_size, scale_factor, shrinkage_from_pattern_rule
from moldvol.materials.stoichiometry import (
    active_hydrogen_equivalent_g,
    blend_eew,
    carbon_dioxide_ml,
    epoxy_parts,
    isocyanate_equivalent_g,
    polyol_equivalent_g,
    urethane_parts,
)
from moldvol.materials.vacuum import absolute_from_vacuum_gauge, atmosphere_pa, degas
from moldvol.materials.wetting import Cup, cup_loss, dip_film_mm, draining_film
from moldvol.quantities import G_PER_POUND, ML_PER_US_GALLON, PA_PER_INHG, PA_PER_PSI, parse_length_mm

LB_FT3_PER_G_ML = 1000 / 16.01846  # NIST Special Publication 811, appendix B.8


class TestPrinted:
    """Somebody else's number, read where it is printed."""

    def test_pottery_plaster_wet_and_dry(self) -> None:
        """A published property table of a pottery plaster at consistency 70: 99 lb/ft³ wet, 69 dry."""
        mix = plaster_for_volume(1e6, 70)
        whole_pounds = 0.01  # the table is rounded to 1 lb/ft³
        assert mix.wet_density_g_ml * LB_FT3_PER_G_ML == pytest.approx(99, rel=whole_pounds)
        assert mix.dry_density_g_ml * LB_FT3_PER_G_ML == pytest.approx(69, rel=whole_pounds)

    def test_potters_rule(self) -> None:
        """J. B. Kenny's pottery handbook, quoted on an open potters' list: 2¾ lb to a US quart fill a bat of 81 in³."""
        plaster_g, water_g = 2.75 * G_PER_POUND, ML_PER_US_GALLON / 4 * 0.998
        bat_mm3 = 81 * 25.4**3
        ours_mm3 = plaster_for_bag(plaster_g, 100 * water_g / plaster_g).slurry_volume_mm3
        assert bat_mm3 < ours_mm3 < 1.08 * bat_mm3  # a rough rule that understates the yield, by 6 %

    def test_isocyanate_and_polyol_equivalents(self) -> None:
        """A polyurethane trade library prints 136 g/eq for 31.0 % NCO, and OH value 1810 for ethylene glycol."""
        assert isocyanate_equivalent_g(31.0) == pytest.approx(136, abs=1)
        assert 2 * polyol_equivalent_g(1810) == pytest.approx(62.07, abs=0.1)  # its molar mass: two OH groups

    def test_nomograph(self) -> None:
        """A published nomograph for prepolymers reads 26 parts at OH value 80 and NCO 23.1 %."""
        assert urethane_parts(oh_value=80, nco_percent=23.1).hardener_per_100 == pytest.approx(26, abs=0.1)

    def test_epoxy_blend(self) -> None:
        """An open formulator's training note: 80 % of EEW 189, 10 % of 183, 10 % filler gives 209, and 20.6 phr."""
        eew = blend_eew([(80, 189), (10, 183), (10, None)])
        assert eew == pytest.approx(209, abs=0.5)
        assert epoxy_parts(eew=eew, ahew=43).hardener_per_100 == pytest.approx(20.6, abs=0.1)

    def test_epoxy_with_an_aromatic_amine(self) -> None:
        """A worked answer on an open question page: 5 g of EEW 200 take 1.24 g of a hardener of AHEW 49.5."""
        assert 5 * epoxy_parts(eew=200, ahew=49.5).hardener_per_100 / 100 == pytest.approx(1.24, abs=0.01)

    def test_iron_pattern(self) -> None:
        """Historic shrink rules: iron an eighth of an inch to the foot, so a pattern of 12⅛ in for 12 in."""
        iron = shrinkage_from_pattern_rule(1 / 8, 12)
        assert master_size(parse_length_mm("12in"), iron).master_mm / 25.4 == pytest.approx(12.125, rel=1e-12)

    def test_structural_foam(self) -> None:
        """A US national laboratory's 20 lb/ft³ foam is printed as 320.37 kg/m³: a litre of it, unpacked."""
        assert foam_for_core(1e6, 20 / LB_FT3_PER_G_ML, overpack=0).liquid_mass_g == pytest.approx(320.37, abs=0.01)

    def test_mat_by_the_square_foot(self) -> None:
        """NIST Special Publication 811, appendix B.8: 1 oz/ft² is 305.1517 g/m², 1 oz/yd² 33.90575."""
        assert parse_areal_weight_g_m2("1oz/ft2") == pytest.approx(305.1517, rel=1e-6)
        assert parse_areal_weight_g_m2("1oz/yd2") == pytest.approx(33.90575, rel=1e-6)

    def test_gel_coat_coverage(self) -> None:
        """An open lamination guide: 1 kg of gel coat covers 1.6 m² at about half a millimetre."""
        one_square_metre = laminate(1e6, (450,), LayUp(gel_coat_mm=0.5)).gel_coat_g
        assert one_square_metre == pytest.approx(1000 / 1.6, rel=0.05)

    def test_container_rule(self) -> None:
        """Open degassing guides: a container of 3 to 5 times the volume at 29 inHg."""
        rise = degas(1, absolute_pa=absolute_from_vacuum_gauge(29 * PA_PER_INHG)).rise
        assert 3 <= rise <= 5


class TestFromMemory:
    """Widely printed, not looked up again."""

    def test_hydration_water(self) -> None:
        """Dental materials textbooks: 18.6 parts of water bind to 100 of hemihydrate (18.61 printed)."""
        assert hydration_water_percent() == pytest.approx(18.61, abs=0.01)

    def test_thin_air(self) -> None:
        """ISO 2533, standard atmosphere: 89 874.6 Pa at 1000 m, 79 495.2 Pa at 2000 m."""
        assert atmosphere_pa(1000) == pytest.approx(89_874.6, rel=1e-4)
        assert atmosphere_pa(2000) == pytest.approx(79_495.2, rel=1e-4)

    @pytest.mark.parametrize(
        ("molar_mass", "hydrogens", "phr"),
        [(146.24, 6, 12.83), (103.17, 5, 10.86), (170.30, 4, 22.41)],
        ids=["triethylenetetramine", "diethylenetriamine", "isophorone diamine"],
    )
    def test_common_amines_in_a_resin_of_190(self, molar_mass: float, hydrogens: int, phr: float) -> None:
        """Epoxy textbooks give about 13, 11 and 22 parts for these three."""
        ahew = active_hydrogen_equivalent_g(molar_mass, hydrogens)
        assert epoxy_parts(eew=190, ahew=ahew).hardener_per_100 == pytest.approx(phr, abs=0.02)

    def test_small_craft_rule(self) -> None:
        """ISO 12215-5: t = (w/3.072)(2.56/ψ − 1.36), w in kg/m²; 450 g/m² at ψ 0.30 makes 1.0508 mm."""
        glass, weight = 0.30, 0.450
        rule_mm = weight / 3.072 * (2.56 / glass - 1.36)
        assert layer_thickness_mm(450, LayUp(resin_ratio=1 / glass - 1)) == pytest.approx(rule_mm, rel=1e-9)
        assert rule_mm == pytest.approx(1.0508, abs=1e-4)

    def test_landau_levich(self) -> None:
        """h = 0.944 l Ca^⅔ at μ 0.1 Pa·s, 10 mm/s, 35 mN/m, 1100 kg/m³: 0.1589 mm; water at 1 mm/s: 1.48 µm."""
        oil = dip_film_mm(0.1, 1.1, speed_mm_s=10, surface_tension_n_m=0.035)
        water = dip_film_mm(0.001, 0.998, speed_mm_s=1, surface_tension_n_m=0.072)
        assert (oil, water) == pytest.approx((0.1589, 0.00148), rel=5e-3)


class TestArithmetic:
    """The stated formula is the one that runs; nothing outside confirms these."""

    def test_stiff_polyurethane(self) -> None:
        parts = urethane_parts(oh_value=400, nco_percent=31.5, index=1.05)
        assert parts.hardener_per_100 == pytest.approx(99.82, abs=0.05)

    def test_a_gram_of_water_in_polyurethane(self) -> None:
        ideal_gas = 0.005
        assert carbon_dioxide_ml(1) / 1000 == pytest.approx(1.335, rel=ideal_gas)

    def test_seven_per_cent_by_volume(self) -> None:
        linear = linear_from_volumetric(0.07)
        assert (100 * linear, scale_factor(linear)) == pytest.approx((2.3900, 1.024485), abs=5e-6)

    def test_two_litres_of_foam(self) -> None:
        assert foam_for_core(2e6, 0.064, overpack=0.15).liquid_mass_g == pytest.approx(147.2, rel=1e-9)

    def test_jacket_of_a_square_metre(self) -> None:
        made = laminate(1e6, (450, 450, 450), LayUp(resin_ratio=2.5, gel_coat_mm=0.5, catalyst_percent=2))
        rounding = 0.005
        assert (made.gel_coat_g, made.mat_g, made.resin_g, made.catalyst_g) == pytest.approx((600, 1350, 3375, 79.5))
        assert (made.laminate_mm, made.total_mm) == pytest.approx((3.34, 3.84), rel=rounding)
        assert made.mass_g == pytest.approx(5330, rel=rounding)

    def test_sixty_pounds_per_square_inch(self) -> None:
        bubble = bubble_shrinkage(60 * PA_PER_PSI)
        assert (bubble.volume_ratio, bubble.diameter_ratio) == pytest.approx((0.19674, 0.58161), abs=1e-5)

    @pytest.mark.parametrize(
        ("inhg", "expansion", "five_percent", "ten_percent"),
        [(26, 7.63, 1.38, 1.76), (28, 15.6, 1.78, 2.56), (29, 32.5, 2.62, 4.25), (29.5, 71.0, 4.55, 8.10)],
    )
    def test_degassing(self, inhg: float, expansion: float, five_percent: float, ten_percent: float) -> None:
        absolute = absolute_from_vacuum_gauge(inhg * PA_PER_INHG)
        mixes = [degas(1, absolute_pa=absolute, air_share=air) for air in (0.05, 0.10)]
        found = (mixes[0].gas_expansion, mixes[0].rise, mixes[1].rise)
        assert found == pytest.approx((expansion, five_percent, ten_percent), rel=0.005)

    def test_film_on_a_wall(self) -> None:
        film = draining_film(0.8, 1.1, length_mm=100, time_s=60)
        assert (film.bottom_mm, film.mean_mm) == pytest.approx((0.3516, 0.2344), rel=1e-3)

    def test_film_of_water(self) -> None:
        by_hand_mm = 1000 * (1e-3 * 0.1 / (998 * 9.80665 * 60)) ** 0.5
        film = draining_film(0.001, 0.998, length_mm=100, time_s=60)
        assert film.bottom_mm == pytest.approx(by_hand_mm, rel=1e-9)
        assert by_hand_mm == pytest.approx(0.0130, abs=5e-5)

    def test_film_in_a_cup(self) -> None:
        loss = cup_loss(0.8, 1.1, Cup(85, 90), time_s=60)
        small = cup_loss(0.8, 1.1, Cup(55, 45), time_s=60)
        assert (loss.film_mm, loss.wall_g, small.wall_g) == pytest.approx((0.2224, 5.88, 1.35), rel=0.01)

    def test_what_pushes_at_a_lid(self) -> None:
        kilo = 1000
        assert vessel_hazard(Vessel(250, 204), 60 * PA_PER_PSI).lid_force_n / kilo == pytest.approx(20.3, abs=0.05)
        assert vacuum_lid_force_n(300) / kilo == pytest.approx(7.2, abs=0.05)

    def test_hot_plaster(self) -> None:
        assert [plaster_adiabatic_rise_c(water) for water in (70, 50)] == pytest.approx([38.5, 50.9], abs=0.05)
