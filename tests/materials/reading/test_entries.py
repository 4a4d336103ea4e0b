"""What is wrong in an entry is said in one sentence: file, entry, key, what belongs there."""

from __future__ import annotations

import datetime
import tomllib
from typing import Any

import pytest

from moldvol.errors import ShelfError
from moldvol.materials.filler import CLOSEST_PACKING
from moldvol.materials.grade import Grade
from moldvol.materials.reading.entries import filler_of, plaster_of, resin_of, small_mould_of
from moldvol.materials.reading.shelf_file import Place

OWN: dict[str, Any] = {
    "kind": "polyurethane",
    "parts": [{"name": "A", "by_weight": 100, "density_g_ml": 1.03}, {"name": "B", "by_weight": 90}],
    "cured_density_g_ml": 1.10,
    "pot_life_min": 4,
}
PLACE = Place("my.toml", "resin", "my-fast")
POLYESTER = OWN | {"kind": "polyester", "parts": [{"name": "resin", "density_g_ml": 1.1}]}


def complaint(values: dict[str, Any]) -> str:
    with pytest.raises(ShelfError) as refusal:
        resin_of(values, PLACE)
    return str(refusal.value).removeprefix("my.toml, resin.my-fast, ")


def parts(*tables: str) -> dict[str, Any]:
    return OWN | {"parts": [tomllib.loads(f"p = {{{table}}}")["p"] for table in tables]}


def test_the_bench_words_become_house_units() -> None:
    resin = resin_of(
        OWN
        | {
            "gel_time_min": 6, "demould_h": 2, "viscosity_mpas": 800, "ratio_tolerance_percent": 4,
            "shrinkage_percent": 0.5, "activation_energy_kj_mol": 51.2, "pot_life_mass_g": 200,
            "pot_life_temperature_c": 25, "peak_c": 110, "sets": "gradual", "working_low_c": 18,
        },
        PLACE,
    )  # fmt: skip
    assert (resin.gel_time_s, resin.demould_s, resin.viscosity_pa_s) == pytest.approx((360, 7200, 0.8))
    assert (resin.ratio_tolerance, resin.shrinkage, resin.activation_energy_j_mol) == pytest.approx(
        (0.04, 0.005, 51_200)
    )
    assert (resin.pot_life_mass_g, resin.pot_life_temperature_c, resin.peak_c) == (200, 25, 110)
    assert (resin.sets, resin.working_low_c, resin.working_high_c) == ("gradual", 18, 30)


def test_what_is_not_stated_comes_from_the_kind_with_its_grade() -> None:
    resin = resin_of(OWN, PLACE)
    assert (resin.pot_life_mass_g, resin.ratio_tolerance, resin.price_per_kg) == (100.0, 0.03, None)
    ours = {"pot_life_mass_g", "ratio_tolerance", "activation_energy_j_mol", "working_low_c", "pot_life_temperature_c"}
    assert all(str(resin.grade_of(figure)) != "own figure" for figure in ours)


def test_zero_degrees_and_zero_price_are_figures() -> None:
    resin = resin_of(OWN | {"pot_life_temperature_c": 0, "working_low_c": 0, "price_per_kg": 0}, PLACE)
    assert (resin.pot_life_temperature_c, resin.working_low_c, resin.price_per_kg) == (0.0, 0.0, 0.0)


def test_a_polyester_has_a_catalyst_even_if_none_is_stated() -> None:
    resin = resin_of(POLYESTER, PLACE)
    assert resin.catalyst is not None
    assert resin.catalyst.density_g_ml == 1.15
    assert resin.grade_of("catalyst") is not None
    two = resin_of(
        POLYESTER | {"parts": [{"name": "resin", "by_weight": 100}, {"name": "hardener", "by_weight": 2}]}, PLACE
    )
    assert two.catalyst is None


def test_grades_may_be_stated_under_the_names_of_the_file() -> None:
    resin = resin_of(OWN | {"grades": {"pot_life_min": "data sheet: page 2"}}, PLACE)
    assert resin.grade_of("pot_life_s") == Grade("data sheet", "page 2")


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"pot_life_min": -4}, "pot_life_min: a number above 0 is expected, not -4; correct it."),
        ({"pot_life_min": 0}, "pot_life_min: a number above 0 is expected, not 0; correct it."),
        ({"pot_life_min": "4 min"}, 'pot_life_min: a number is expected, not "4 min"; correct it.'),
        ({"pot_life_min": True}, "pot_life_min: a number is expected, not true; correct it."),
        ({"pot_life_min": [4]}, "pot_life_min: a number is expected, not a list; correct it."),
        ({"cured_density_g_ml": float("nan")},
         "cured_density_g_ml: a finite number is expected, not nan; correct it."),
        ({"price_per_kg": float("inf")}, "price_per_kg: a finite number is expected, not inf; correct it."),
        ({"price_per_kg": 10**60},
         f"price_per_kg: a number of everyday size is expected, not 1{'0' * 39}…; correct it."),
        ({"pot_life_min": 5e-324}, "pot_life_min: a number of everyday size is expected, not 5e-324; correct it."),
        ({"cured_density_g_ml": 1100}, "cured_density_g_ml: a number of at most 25 is expected, not 1100; correct it."),
        ({"pot_life_min": datetime.date(2024, 5, 1)},
         "pot_life_min: a number is expected, not 2024-05-01; correct it."),
        ({"name": 7}, "name: a text in quotes is expected, not 7; correct it."),
        ({"price_per_kg": -1}, "price_per_kg: a number of at least 0 is expected, not -1; correct it."),
        ({"shrinkage_percent": 60}, "shrinkage_percent: a number below 50 is expected, not 60; correct it."),
        ({"pot_lif_min": 4}, "pot_lif_min: this key is not known; did you mean pot_life_min?"),
        ({"kind": "urethane"},
         'kind: one of polyurethane, polyester, epoxy, silicone, foam is expected, not "urethane"; choose one.'),
        ({"kind": 3}, "kind: a text in quotes is expected, not 3; correct it."),
        ({"name": ""}, 'name: a text that is not empty is expected, not ""; correct it.'),
        ({"sets": "slowly"}, 'sets: one of gradual, snap is expected, not "slowly"; choose one.'),
        ({"parts": []}, "parts: a list of at least 1 is expected, not an empty list; correct it."),
        ({"parts": "A and B"}, 'parts: a list in [ ] is expected, not "A and B"; correct it.'),
        ({"working_low_c": 40}, "working_high_c: a temperature above 40 is expected, not 30; correct it."),
        ({"demould_min": 30, "demould_h": 1},
         "demould_h: the time is given as demould_min already; remove one of the two."),
        ({"catalyst": {}}, "catalyst: only a polyester has a catalyst, not a polyurethane; write it as a part."),
        ({"grades": {"peak_c": "from memory"}},
         "grades, peak_c: this entry gives no such figure to grade; remove the line."),
        ({"grades": {"parts": 1}}, "grades: a text in quotes is expected, not 1; correct it."),
        ({"grades": {"parts": "hearsay"}},
         "grades, parts: one of standard, published, data sheet, common practice, from memory, own figure is expected, "
         'not "hearsay"; put it first.'),
    ],
)  # fmt: skip
def test_a_wrong_figure(changes: dict[str, Any], sentence: str) -> None:
    assert complaint(OWN | changes) == sentence


@pytest.mark.parametrize("key", ["kind", "parts", "cured_density_g_ml", "pot_life_min"])
def test_a_missing_figure(key: str) -> None:
    assert (
        complaint({name: value for name, value in OWN.items() if name != key}) == f"{key}: this key is missing; add it."
    )


@pytest.mark.parametrize(
    ("tables", "sentence"),
    [
        (["name='A', by_weight=1"], "parts: two parts are expected in a polyurethane, not one; add the other part."),
        (["name='A', by_weight=1", "name='B'"], "parts 2: by_weight or by_volume is missing for the part B; add one."),
        (["name='A', by_weight=1", "by_weight=1"], "parts 2, name: this key is missing; add it."),
        (["name='A', by_weight=1", "name='B', by_weight=-1"],
         "parts 2, by_weight: a number above 0 is expected, not -1; correct it."),
        (["name='A', by_weight=1", "name='B', by_weigth=1"],
         "parts 2, by_weigth: this key is not known; did you mean by_weight?"),
        (["name='A', by_weight=1", "name='B', by_volume=1, density_g_ml=1"],
         "parts 1: the parts must all be by_weight or all by_volume, not mixed; add by_volume here."),
        (["name='A', by_volume=1, density_g_ml=1", "name='B', by_volume=1"],
         "parts 2, density_g_ml: a ratio by volume can be weighed only with densities; add it."),
        (["name='A', by_weight=1", "name='a', by_weight=1"],
         "parts: every part needs a name of its own, not a, a; rename one."),
    ],
)  # fmt: skip
def test_parts_that_make_no_ratio(tables: list[str], sentence: str) -> None:
    assert complaint(parts(*tables)) == sentence


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"catalyst": {"percent_usual": 5}},
         "catalyst, percent_usual: a number from 1 to 2 is expected, not 5; correct it."),
        ({"catalyst": {"percent": 1}}, "catalyst, percent: this key is not known; did you mean percent_low?"),
        ({"catalyst": {"percent_low": 0}}, "catalyst, percent_low: a number above 0 is expected, not 0; correct it."),
        ({"parts": [{"name": "resin", "by_volume": 1}]},
         "parts 1, by_volume: a polyester takes its catalyst by weight; write by_weight instead."),
        ({"parts": [{"name": "resin", "by_weight": 1}, {"name": "x", "by_weight": 1}], "catalyst": {}},
         "catalyst: the catalyst is among the parts already; remove one of the two."),
    ],
)  # fmt: skip
def test_a_polyester_that_does_not_hang_together(changes: dict[str, Any], sentence: str) -> None:
    assert complaint(POLYESTER | changes) == sentence


def test_fillers_plasters_and_small_moulds() -> None:
    filler = filler_of({"density_g_ml": 2.7}, Place("my.toml", "filler", "chalk"))
    assert (filler.name, filler.kind, filler.packing_limit) == ("chalk", "filler", CLOSEST_PACKING)
    plaster = plaster_of({"consistency": 70}, Place("my.toml", "plaster", "p"))
    assert (plaster.consistency_low, plaster.consistency_high, plaster.powder_density_g_ml) == (70, 70, 2.70)
    assert small_mould_of({"volume_ml": 3}, Place("my.toml", "small_mould", "m")).count == 1


@pytest.mark.parametrize(
    ("make", "values", "sentence"),
    [
        (filler_of, {}, "density_g_ml: this key is missing; add it."),
        (filler_of, {"density_g_ml": 1, "kind": "dust"},
         'kind: one of filler, metal, thickener, pigment is expected, not "dust"; choose one.'),
        (filler_of, {"density_g_ml": 1, "percent_low": 5, "percent_high": 2},
         "percent_high: a number of at least 5 is expected, not 2; correct it."),
        (plaster_of, {"consistency": 70, "consistency_high": 60},
         "consistency_high: a number of at least 70 is expected, not 60; correct it."),
        (small_mould_of, {"volume_ml": 2, "count": 0}, "count: a number of at least 1 is expected, not 0; correct it."),
        (small_mould_of, {"volume_ml": 2, "count": 1.5}, "count: a whole number is expected, not 1.5; correct it."),
    ],
)  # fmt: skip
def test_wrong_powders_and_moulds(make: Any, values: dict[str, Any], sentence: str) -> None:
    with pytest.raises(ShelfError) as refusal:
        make(values, Place("my.toml", "thing", "key"))
    assert str(refusal.value) == f"my.toml, thing.key, {sentence}"
