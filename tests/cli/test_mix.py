"""The weigh-out at the command line: every mix a bench meets, as a user would type it."""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.command_line import answered, cube, moldvol, refused, sheet, written

FINE = ("--readability", "0.1g")
STOCK = """
[stock.fast-urethane]
parts = [
  {name = "A", left_kg = 0.05, packs = [{kg = 1, price = 20}]},
  {name = "B", left_kg = 2, packs = [{kg = 1, price = 22}]},
]
"""


def readings(document: dict[str, object]) -> dict[str, float]:
    components = document["components"]
    assert isinstance(components, list)
    return {component["name"]: component["reading_g"] for component in components}


def codes(document: dict[str, object]) -> list[str]:
    warnings = document["warnings"]
    assert isinstance(warnings, list)
    return [warning["code"] for warning in warnings]


def test_by_weight() -> None:
    mix = answered("mix", "500g", "--resin", "fast-urethane", *FINE)
    assert readings(mix) == {"A": 263.2, "B": 236.8}
    assert [part["scale_reading_g"] for part in mix["components"]] == [263.2, 500.0]


def test_by_volume_warns_of_weighing_the_ratio() -> None:
    mix = answered("mix", "500g", "--resin", "clear-urethane", *FINE)
    densities = [part["mass_g"] / part["volume_ml"] for part in mix["components"]]
    first, second = readings(mix).values()
    assert second / first == pytest.approx(densities[1] / densities[0], rel=1e-3)
    assert "ratio-by-volume" in codes(mix)


def test_polyester_with_filler_and_pigment_in_one_recipe() -> None:
    options = ("--resin", "casting-polyester", "--add", "chalk=30%", "--add", "pigment-paste=2%", *FINE)
    mix = answered("mix", "1kg", *options)
    assert list(readings(mix)) == ["resin", "chalk (calcium carbonate)", "pigment paste", "catalyst"]
    resin = mix["components"][0]["mass_g"]
    assert resin * 1.32 == pytest.approx(1000)  # the catalyst comes on top
    assert mix["catalyst"]["mass_g"] == pytest.approx(resin / 100)
    assert mix["catalyst"]["volume_ml"] == pytest.approx(resin / 100 / 1.15)


def test_a_cold_pot_that_lives_shorter_says_why() -> None:
    options = ("mix", "1kg", "--resin", "casting-polyester", *FINE)
    assert "Sets 2 times as fast with 2 % of catalyst in place of 1 %" in sheet(*options, "--bench", "17c")
    assert "times as fast" not in sheet(*options)


def test_catalyst_follows_the_bench_and_the_section() -> None:
    def percent(*options: str) -> float:
        return float(answered("mix", "1kg", "--resin", "casting-polyester", *FINE, *options)["catalyst"]["percent"])

    assert (percent(), percent("--bench", "17c"), percent("--section", "40mm")) == (1, 2, 0.75)
    assert "8 °C" in refused("mix", "1kg", "--resin", "casting-polyester", "--bench", "8c")


def test_accelerator_and_peroxide_are_kept_apart() -> None:
    text = sheet("mix", "1kg", "--resin", "casting-polyester")
    assert "Never let it touch an accelerator directly" in text
    assert "1 % is not 10 ml to the kilogram but 8.7 ml" in text


def test_epoxy_by_equivalent_weights() -> None:
    mix = answered("mix", "500g", "--resin", "casting-epoxy", "--eew", 190, "--ahew", 43, *FINE)
    resin, hardener = readings(mix).values()
    assert hardener / resin == pytest.approx(43 / 190, rel=1e-3)
    assert mix["grades"]["parts"] == "own figure: EEW 190, AHEW 43"
    assert "epoxy-ratio" in codes(mix)


def test_urethane_by_oh_value_nco_and_index() -> None:
    options = ("--resin", "slow-urethane", "--oh-value", 400, "--nco", 31.5, *FINE)
    polyol, isocyanate = readings(answered("mix", "1kg", *options, "--index", 1.05)).values()
    assert 100 * isocyanate / polyol == pytest.approx(99.82, abs=0.05)
    assert "index-low" in codes(answered("mix", "1kg", *options, "--index", 0.9))


@pytest.mark.parametrize(("resin", "share"), [("tin-silicone", 5 / 105), ("tin-silicone-ten", 10 / 110)])
def test_silicones(resin: str, share: float) -> None:
    mix = answered("mix", "1kg", "--resin", resin, *FINE)
    assert mix["components"][1]["mass_g"] == pytest.approx(1000 * share)


def test_a_volume_gives_the_masses_of_everything() -> None:
    mix = answered("mix", "500ml", "--resin", "fast-urethane", "--add", "bronze-powder=50%v", *FINE)
    assert mix["total_volume_ml"] == pytest.approx(500)
    bronze = mix["components"][2]
    assert bronze["volume_ml"] == pytest.approx(500 / 3)  # 50 of bronze to 100 of resin by volume
    assert mix["filler_share"] == pytest.approx(1 / 3)


@pytest.mark.parametrize(("amount", "millilitres"), [("180ml", 180), ("1/2 us pint", 236.59), ("1/2imppint", 284.13)])
def test_volumes_as_they_are_typed(amount: str, millilitres: float) -> None:
    mix = answered("mix", amount, "--resin", "fast-urethane", *FINE)
    assert mix["total_volume_ml"] == pytest.approx(millilitres, rel=1e-4)


def test_four_and_four_grams_on_a_kitchen_scale_are_told_off() -> None:
    mix = answered("mix", "8g", "--resin", "fast-urethane")
    assert set(readings(mix).values()) == {4}
    assert mix["ratio_error_percent"] > 50 > mix["ratio_tolerance_percent"]
    (notice,) = [warning["message"] for warning in mix["warnings"] if warning["code"] == "scale-too-coarse"]
    assert notice.startswith("Do not weigh 3.79 g of B")
    assert "use a scale that shows 0.02 g" in notice and "at once" in notice
    for less in ("--quiet", "--no-remarks"):
        assert notice in moldvol("mix", "8g", "--resin", "fast-urethane", less).words


def test_the_scale_and_its_class() -> None:
    coarse = answered("mix", "300g", "--resin", "fast-urethane")
    fine = answered("mix", "300g", "--resin", "fast-urethane", *FINE)
    assert fine["ratio_error_percent"] < coarse["ratio_error_percent"] / 5
    assert fine["ratio_error_rss_percent"] < fine["ratio_error_percent"]
    text = sheet("mix", "300g", "--resin", "fast-urethane", "--scale-class", "III")
    assert "class III, nothing vouched for below 20 g (OIML R 76)" in text
    assert "below-minimum" in codes(answered("mix", "30g", "--resin", "fast-urethane", "--scale-class", "III"))
    assert "over-capacity" in codes(answered("mix", "3kg", "--resin", "fast-urethane", "--capacity", "2kg"))


def test_an_over_pour_says_what_to_add() -> None:
    options = ("mix", "205g", "--resin", "fast-urethane", *FINE, "--poured", "A=125g")
    mix = answered(*options)
    assert [(part["poured_g"], part["to_add_g"]) for part in mix["components"]] == [(125, 0), (0, 112.5)]
    assert (mix["total_mass_g"], mix["surplus_g"]) == (pytest.approx(237.5), pytest.approx(32.5))
    text = sheet(*options)
    assert "Add 112.5 g of B (until the scale shows 237.5 g)." in text
    assert "32.5 g more than was wanted, to keep the ratio" in text


def test_over_pours_of_several_parts() -> None:
    options = ("--resin", "casting-epoxy", *FINE, "--poured", "resin=170g", "--poured", "hardener=50g")
    mix = answered("mix", "200g", *options)
    assert [part["to_add_g"] for part in mix["components"]] == [0, 26.5]  # 45 to 100 of 170 g
    done = answered(
        "mix", "145g", "--resin", "casting-epoxy", *FINE, "--poured", "resin=100g", "--poured", "hardener=45g"
    )
    assert [part["to_add_g"] for part in done["components"]] == [0, 0]
    again = ("mix", "145g", "--resin", "casting-epoxy", *FINE, "--poured", "resin=100g", "--poured", "hardener=45g")
    assert "Nothing is missing in the cup: the ratio is held." in sheet(*again)


def test_pots_in_order_with_times() -> None:
    options = ("mix", "600g", "--resin", "fast-urethane", *FINE, "--pot", "250ml", "--bench", "28c")
    pots = answered(*options)["pots"]
    assert pots["count"] == 4
    assert sum(pot["mass_g"] for pot in pots["pots"]) == pytest.approx(pots["needed_g"] + pots["lost_g"], abs=0.1)
    assert all(pot["pour_by_s"] > pot["start_s"] for pot in pots["pots"])
    text = sheet(*options)
    assert "draining film, Jeffreys 1930" in text
    assert "One big pot of" in text
    assert "own figure" in sheet(*options, "--per-pot-loss", "3g")


def test_a_loss_in_each_pot_needs_a_pot() -> None:
    said = "--per-pot-loss is what stays in each pot; say with --pot how large they are, or leave it out."
    assert refused("mix", "600g", "--resin", "fast-urethane", "--per-pot-loss", "3g") == said


def test_what_the_scale_shows_in_a_pot_of_three_parts() -> None:
    options = ("--resin", "fast-urethane", "--add", "chalk=20%", "--pot", "250ml", *FINE)
    (first, *_) = answered("mix", "400g", *options)["pots"]["pots"]
    text = sheet("mix", "400g", *options)
    shown = " ".join(f"{part['scale_reading_g']:.1f} g" for part in first["components"])
    assert f"shows {shown}" in text
    assert "what the scale shows when all goes into that one pot" in text


def test_pot_life_at_the_bench_and_the_rule_beside_it() -> None:
    warm = answered("mix", "100g", "--resin", "fast-urethane", *FINE, "--bench", "33c")
    assert warm["pot_life_s"] == pytest.approx(180 * math.exp(45_000 / 8.314462618 * (1 / 306.15 - 1 / 296.15)))
    assert warm["halving_rule_s"] == 90
    text = sheet("mix", "100g", "--resin", "fast-urethane", *FINE, "--bench", "33c")
    assert "Rule of thumb 1.5 min halves for each 10 °C" in text


def test_every_figure_shows_its_grade() -> None:
    text = sheet("mix", "205g", "--resin", "fast-urethane", "--add", "chalk=30%")
    for figure in (
        "Ratio 100:90 by weight from memory",
        "Density 1.07 g/ml cured from memory",
        "chalk 2.71 g/ml from memory",
        "at 23 °C; common practice",
        "Forgives 3 % common practice",
    ):
        assert figure in text
    assert answered("mix", "205g", "--resin", "fast-urethane")["grades"]["pot_life_s"] == "common practice"


def test_cost_of_the_job_and_of_each_cast() -> None:
    assert answered("mix", "1kg", "--resin", "fast-urethane")["cost"] == pytest.approx(16)
    assert "16.00 4.00 each" in sheet("mix", "1kg", "--resin", "fast-urethane", "--casts", 4)


def test_a_stock_list(tmp_path: Path) -> None:
    stock = answered("mix", "1kg", "--resin", "fast-urethane", "--stock", written(tmp_path, "stock.toml", STOCK))[
        "stock"
    ]
    assert [part["short_g"] for part in stock["parts"]] == [pytest.approx(476), 0]
    assert (stock["enough"], stock["buy_cost"]) == (False, 20)
    assert "Buy 1 × pack of 1000 g (1 kg) A for 20.00" in sheet(
        "mix", "1kg", "--resin", "fast-urethane", "--stock", tmp_path / "stock.toml"
    )


def test_a_filler_in_the_stock_list(tmp_path: Path) -> None:
    chalk = '[stock.chalk]\nparts = [{name = "chalk", left_kg = 0.05, packs = [{kg = 1, price = 2}]}]\n'
    options = ("mix", "1kg", "--resin", "fast-urethane", "--add", "chalk=25%", "--stock")
    both = answered(*options, written(tmp_path, "both.toml", STOCK + chalk))["stock"]
    assert [part["name"] for part in both["parts"]] == ["A", "B", "chalk"]
    assert (both["parts"][2]["short_g"], both["buy_cost"]) == (pytest.approx(150), 22)
    told = answered(*options, written(tmp_path, "one.toml", STOCK))
    assert "filler-not-in-stock" in codes(told)


def test_a_wrong_stock_list_is_called_one(tmp_path: Path) -> None:
    wrong = written(tmp_path, "stock.toml", "[resin.mine]\n")
    said = refused("mix", "1kg", "--resin", "fast-urethane", "--stock", wrong, status=1)
    assert said == "stock.toml, resin: a stock list has no such table; it may be one of stock."


def test_a_mesh_piped_in(tmp_path: Path) -> None:
    cast = moldvol("cast", cube(tmp_path), "--resin", "fast-urethane", "--copies", 5, "--json").out
    mix = answered("mix", "-", *FINE, stdin=cast)
    assert mix["total_volume_ml"] == pytest.approx(json.loads(cast)["mix"]["total_volume_ml"])
    assert (mix["resin"], mix["casts"]) == ("fast-urethane", 5)
    assert answered("mix", "-", "--resin", "casting-epoxy", *FINE, stdin=cast)["resin"] == "casting-epoxy"


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("205g",), "No resin is named; add --resin with a name of 'moldvol resins'."),
        (("0g", "--resin", "fast-urethane"), "'0g' is no amount to mix; give one above zero like 205g or 180ml."),
        (
            ("1/2 pint", "--resin", "fast-urethane"),
            "'1/2 pint' could be US or imperial; say which: uspint or imppint.",
        ),
        (
            ("3l", "--resin", "pottery-plaster"),
            "pottery-plaster is a plaster; weigh it with 'moldvol plaster 3l --plaster pottery-plaster'.",
        ),
        (
            ("205g", "--resin", "fast-urethan"),
            "There is no resin 'fast-urethan' on the shelf; did you mean fast-urethane?",
        ),
        (
            ("205g", "--resin", "fast-urethane", "--poured", "A"),
            "'A' does not say how much of which part is in the cup; write it like A=104.1g.",
        ),
        (
            ("205g", "--resin", "fast-urethane", "--poured", "C=4g"),
            "There is no C in this mix; it is mixed from A, B.",
        ),
        (
            ("205g", "--resin", "fast-urethane", "--poured", "A=-4g"),
            "'A=-4g' is below nothing; give what the scale shows of that part.",
        ),
        (
            ("205g", "--resin", "fast-urethane", "--poured", "A=4g", "--pot", "100ml"),
            "What is poured already stands in one cup; plan it without pots.",
        ),
        (
            ("205g", "--resin", "fast-urethane", "--add", "chalk"),
            "'chalk' states no amount; write it like chalk=30% or bronze-powder=100%v.",
        ),
        (
            ("205g", "--resin", "fast-urethane", "--catalyst", "2%"),
            "fast polyurethane casting resin takes no catalyst: it is mixed from A, B; leave the catalyst out.",
        ),
        (
            ("owl.stl", "--resin", "fast-urethane"),
            "owl.stl is a file, not an amount; 'moldvol cast owl.stl --resin NAME' tells what a cast of a mesh takes.",
        ),
        (
            ("3l", "--resin", "plaster"),
            "Plaster is weighed with 'moldvol plaster 3l'; the shelf has pottery-plaster, model-plaster, hard-plaster.",
        ),
        (
            ("205g", "--resin", "fast-urethane", "--pot", "100ml", "--usable", "0.7"),
            "The usable share of the pot is 0.7 %; give 1 % to 100 % (0.01 to 1).",
        ),
        (("205g", "--resin", "casting-epoxy", "--eew", "190"), "The EEW alone makes no ratio; give the AHEW too."),
    ],
)
def test_what_cannot_be_mixed(options: tuple[str, ...], said: str) -> None:
    assert refused("mix", *options) == said


@pytest.mark.parametrize(
    ("stdin", "said"),
    [
        ('{"mix": {"total_volume_ml": 0}}', "holds no mix with a volume above zero; check the pipe."),
        ('{"mix": {"total_volume_ml": true}}', "holds no mix with a volume above zero; check the pipe."),
        ('{"mix": {"total_volume_ml": 9}}', "names no resin; add --resin."),
    ],
)
def test_pipes_without_a_mix(stdin: str, said: str) -> None:
    assert said in refused("mix", "-", stdin=stdin)


def test_bench_commands_start_without_the_mesh_libraries(tmp_path: Path) -> None:
    shelf = written(tmp_path, "shelf.toml", "[small_mould.star]\nvolume_ml = 9")
    lines = [
        ["mix", "205g", "--resin", "fast-urethane", "--pot", "100ml", "--json"],
        [
            "leftover",
            "18g",
            "--resin",
            "fast-urethane",
            "--shelf",
            str(shelf),
        ],
        ["vessel", "--pressure", "60psi", "--json"],
        ["shrink", "120mm", "--resin", "fast-urethane"],
        ["laminate", "--area", "1m2", "--mat", "450"],
        ["plaster", "3l"],
        ["foam", "2l"],
        ["log", "show", "--book", str(tmp_path / "book")],
        ["resins"],
        ["--help"],
    ]
    program = (
        "import sys, json\n"
        "from moldvol.cli import commands\n"
        "from moldvol.cli.running import run\n"
        "for line in json.loads(sys.argv[1]):\n"
        "    assert run(commands, line) == 0, line\n"
        "    heavy = {'numpy', 'scipy', 'trimesh', 'igl', 'matplotlib'} & set(sys.modules)\n"
        "    assert not heavy, (line, heavy)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, json.dumps(lines)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def test_a_catalyst_that_the_scale_hardly_shows_is_told_by_mass_and_volume() -> None:
    """2 % of 20 g on a scale of 1 g steps: neither none of it nor twice as much is a dose."""
    mixed = answered("mix", "20g", "--resin", "casting-polyester", "--readability", "1g")
    catalyst = next(one for one in mixed["components"] if one["name"] == "catalyst")
    assert 0.1 < catalyst["mass_g"] < 0.6
    told = sheet("mix", "20g", "--resin", "casting-polyester", "--readability", "1g")
    assert f"{catalyst['mass_g']:.2g} g = {catalyst['volume_ml']:.2g} ml" in told
    assert (
        " ml"
        not in sheet("mix", "1kg", "--resin", "casting-polyester", "--readability", "0.1g").split("catalyst")[1][:12]
    )


def test_a_scale_of_ounces_is_read_in_ounces() -> None:
    """15 oz at 100 to 90 by weight are 7.8947 and 7.1053 oz, to steps of 0.05 oz 7.90 and 7.10."""
    text = sheet("mix", "15oz", "--resin", "fast-urethane", "--readability", "0.05oz", "--units", "us")
    assert "A 7.90 oz 7.90 oz" in text and "B 7.10 oz 15.00 oz" in text
    assert "on a scale of 0.05 oz steps" in text and "Scale 0.05 oz steps" in text
    assert not re.search(r"\d\.\d{4,} g", text)
    pots = sheet("mix", "15oz", "--resin", "fast-urethane", "--readability", "0.1oz", "--pot", "250ml")
    assert "2.7 oz 2.4 oz 5.1 oz" in pots
    assert "2.42 oz of B on a scale that shows steps of 0.1 oz" in pots and "mix at least 30.3 oz" in pots
    small = sheet("mix", "30g", "--resin", "casting-polyester", "--readability", "0.1oz")
    assert "0.011 oz = 0.26 ml" in small
    over = sheet("mix", "15oz", "--resin", "fast-urethane", "--readability", "0.1oz", "--poured", "A=8.2oz")
    assert "7.4 oz of B" in over


def test_a_scale_of_grams_is_read_in_grams_whatever_the_units() -> None:
    assert "A 108 g" in sheet("mix", "205g", "--resin", "fast-urethane", "--units", "us")


def test_liquid_and_set_are_told_apart_where_they_differ() -> None:
    """100 g at 100 to 90 are 100 / 1.07 ml when set; in the cup A and B keep the densities of their own."""
    told = answered("mix", "100g", "--resin", "fast-urethane")
    liquid_ml = sum(part["volume_ml"] for part in told["components"])
    said = f"Mix in all 100 g {liquid_ml:.2f} ml in the cup, {100 / 1.07:.2f} ml when it has set"
    assert said in sheet("mix", "100g", "--resin", "fast-urethane")
    text = sheet("mix", "300g", "--resin", "tin-silicone")
    assert "Rubber tin-cure silicone rubber" in text and "in the cup" not in text
