"""The built-in shelf is whole and graded; a user's shelf adds to it, and what is wrong is said in one sentence."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from moldvol.errors import RequestError, ShelfError
from moldvol.materials.grade import Grade
from moldvol.materials.mixtures.additions import mixed_density_g_ml
from moldvol.materials.resin import KINDS
from moldvol.materials.shelf import load_shelf
from moldvol.materials.weighing.ratio import mass_shares

SHELF = load_shelf()
OWN = """
[resin.my-fast]
kind = "polyurethane"            # polyurethane | polyester | epoxy | silicone
parts = [ {name = "A", by_weight = 100, density_g_ml = 1.03}, {name = "B", by_weight = 90, density_g_ml = 1.22} ]
cured_density_g_ml = 1.10
pot_life_min = 4
price_per_kg = 12.5
"""
NO_FIGURES = {"name", "kind", "note", "key", "shelf", "grades"}


def shelf_file(tmp_path: Path, text: str, name: str = "my.toml") -> Path:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def test_every_kind_and_class_is_there() -> None:
    assert {resin.kind for resin in SHELF.resins.values()} == set(KINDS)
    urethanes = {"fast-urethane", "slow-urethane", "tough-urethane", "rigid-foam"}
    polyesters = {"casting-polyester", "laminating-polyester", "gelcoat-polyester"}
    assert urethanes | polyesters | {"casting-epoxy", "tin-silicone", "platinum-silicone"} <= set(SHELF.resins)
    assert set(SHELF.foams) == {"rigid-foam"}


@pytest.mark.parametrize("key", SHELF.resins)
def test_every_figure_of_a_built_in_resin_has_a_grade(key: str) -> None:
    resin = SHELF.resin(key)
    stated = {name for name in resin.__slots__ if getattr(resin, name) is not None} - NO_FIGURES
    assert stated == set(resin.grades)
    assert all(grade.name != "own figure" for grade in resin.grades.values())


@pytest.mark.parametrize("key", SHELF.resins)
def test_built_in_figures_hang_together(key: str) -> None:
    resin = SHELF.resin(key)
    assert sum(mass_shares(resin)) == pytest.approx(1)
    assert resin.gel_time_s is None or resin.gel_time_s >= resin.pot_life_s
    assert resin.demould_s is None or resin.demould_s > (resin.gel_time_s or resin.pot_life_s)
    assert resin.kind == "foam" or 0.9 < resin.cured_density_g_ml < 1.4
    densities = [part.density_g_ml or 0 for part in resin.parts]
    liquid = mixed_density_g_ml(zip(mass_shares(resin), densities, strict=True))
    # Resins shrink as they cure, polyesters most: up to 9 % (from memory).
    assert resin.kind == "foam" or liquid <= resin.cured_density_g_ml * 1.001 <= liquid * 1.1


@pytest.mark.parametrize("key", [*SHELF.fillers, *SHELF.plasters])
def test_every_figure_of_a_powder_has_a_grade(key: str) -> None:
    powder = SHELF.fillers.get(key) or SHELF.plasters[key]
    implied = {"packing_limit"} - set(powder.grades)  # random close packing, the same for all
    stated = {name for name in powder.__slots__ if getattr(powder, name) is not None} - NO_FIGURES - implied
    assert stated == set(powder.grades)


def test_a_shelf_travels_between_processes() -> None:
    assert pickle.loads(pickle.dumps(SHELF)) == SHELF


def test_a_users_resin_joins_the_shelf(tmp_path: Path) -> None:
    shelf = load_shelf(shelf_file(tmp_path, OWN))
    resin = shelf.resin("my-fast")
    assert (resin.pot_life_s, resin.price_per_kg, resin.shelf) == (240.0, 12.5, "my.toml")
    assert mass_shares(resin) == pytest.approx((100 / 190, 90 / 190))
    assert resin.grade_of("pot_life_s") == Grade("own figure")
    assert resin.grade_of("demould_s") is None
    assert shelf.notices == () and len(shelf.resins) == len(SHELF.resins) + 1


def test_a_users_entry_replaces_ours_and_says_so(tmp_path: Path) -> None:
    shelf = load_shelf([shelf_file(tmp_path, OWN.replace("my-fast", "fast-urethane"))])
    assert shelf.resin("fast-urethane").shelf == "my.toml"
    assert [(notice.code, notice.message) for notice in shelf.notices] == [
        ("shelf-override", "my.toml replaces resin.fast-urethane of an earlier shelf.")
    ]


def test_the_later_of_two_shelves_counts(tmp_path: Path) -> None:
    cheap = shelf_file(tmp_path, OWN.replace("12.5", "2"), "cheap.toml")
    shelf = load_shelf([shelf_file(tmp_path, OWN), cheap])
    assert shelf.resin("my-fast").price_per_kg == 2


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ("fast-uretane", "There is no resin 'fast-uretane' on the shelf; did you mean fast-urethane?"),
        ("Slow Urethane", "There is no resin 'Slow Urethane' on the shelf; did you mean slow-urethane?"),
        (
            "silicone",
            "There is no resin 'silicone' on the shelf; did you mean platinum-silicone, tin-silicone or "
            "tin-silicone-ten?",
        ),
        ("tin", "There is no resin 'tin' on the shelf; did you mean tin-silicone or tin-silicone-ten?"),
        ("Epoxy", "There is no resin 'Epoxy' on the shelf; did you mean casting-epoxy?"),
    ],
)
def test_a_near_miss_is_suggested(asked: str, sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        SHELF.resin(asked)
    assert str(refusal.value) == sentence


def test_a_wild_guess_gets_the_list() -> None:
    with pytest.raises(
        RequestError, match=r"^There is no plaster 'x' on the shelf; the shelf has hard-plaster, model-"
    ):
        SHELF.plaster("x")
    with pytest.raises(RequestError, match=r"^There is no small mould 'x' on the shelf; the shelf has none\.$"):
        SHELF.small_mould("x")
    with pytest.raises(RequestError, match=r"did you mean chalk\?$"):
        SHELF.filler("chalks")


def test_small_moulds_are_the_users(tmp_path: Path) -> None:
    shelf = load_shelf([shelf_file(tmp_path, '[small_mould.button]\nvolume_ml = 2.5\ncount = 6\nname = "coat button"')])
    mould = shelf.small_mould("button")
    assert (mould.name, mould.volume_ml, mould.count) == ("coat button", 2.5, 6)


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", None),
        (b"\xef\xbb\xbf# a file with a byte order mark\n", None),
        (
            b"[resin\n",
            "is not TOML: expected ']' at the end of a table declaration, at line 1, column 7; correct it there.",
        ),
        (b"\xff\xfe[", "is not UTF-8 text from byte 0 on; save it as UTF-8 text."),
        (b"a = " + b"[" * 5000, "nests its brackets too deeply; give a shelf in TOML."),
        (b"#" * 1_000_001, "is larger than 1 MB, which no shelf is; give a shelf in TOML."),
    ],
)
def test_a_file_that_is_no_shelf(tmp_path: Path, content: bytes, sentence: str | None) -> None:
    path = tmp_path / "my.toml"
    path.write_bytes(content)
    if sentence is None:
        assert load_shelf([path]).resins == SHELF.resins
        return
    with pytest.raises(ShelfError) as refusal:
        load_shelf([path])
    assert str(refusal.value).removeprefix(f"{path} ") == sentence
    assert refusal.value.file == str(path)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    for path, reason in ((tmp_path / "no.toml", "no such file or directory"), (tmp_path, "is a directory")):
        with pytest.raises(ShelfError) as refusal:
            load_shelf([path])
        assert str(refusal.value) == f"{path} cannot be read ({reason}); give a shelf in TOML."


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[resins.x]\n", "my.toml, resins: a shelf has no such table; did you mean resin?"),
        ("colour = 1\n",
         "my.toml, colour: a shelf has no such table; it may be one of filler, plaster, resin, small_mould."),
        ("resin = 3\n", "my.toml, resin: a table of entries is expected, not 3; write it under a heading such as "
                        "[resin.my-own]."),
        ("[resin]\nkind = 'epoxy'\n",
         'my.toml, resin, kind: an entry is expected, not "epoxy"; write it under a heading such as [resin.my-own].'),
        ("[[resin]]\n", "my.toml, resin: a table of entries is expected, not a list; write it under a heading such as "
                        "[resin.my-own]."),
    ],
)  # fmt: skip
def test_a_shelf_with_the_wrong_tables(tmp_path: Path, text: str, sentence: str) -> None:
    with pytest.raises(ShelfError) as refusal:
        load_shelf([shelf_file(tmp_path, text)])
    assert str(refusal.value) == sentence
