"""Peroxide by temperature and section, with its hard stops."""

from __future__ import annotations

from dataclasses import replace

import pytest

from moldvol.errors import RequestError
from moldvol.materials.chemistry.catalyst import catalyst_dose, usual_percent
from moldvol.materials.resin import Catalyst
from tests.bench import polyester, urethane


def codes(*args: float, **kwargs: float) -> set[str]:
    return {notice.code for notice in catalyst_dose(polyester(), *args, **kwargs).notices}


def test_grams_millilitres_and_drops() -> None:
    dose = catalyst_dose(polyester(), 500, 22, percent=2, drops_per_ml=25)
    assert (dose.percent, dose.mass_g) == (2, 10)
    assert dose.volume_ml == pytest.approx(10 / 1.15)
    assert dose.drops == 217


@pytest.mark.parametrize(("bench_c", "percent"), [(25, 1), (20, 1), (19.9, 2), (16, 2), (15.9, 3), (10, 3)])
def test_colder_takes_more(bench_c: float, percent: float) -> None:
    assert catalyst_dose(polyester(), 100, bench_c).percent == percent


@pytest.mark.parametrize(("bench_c", "percent"), [(25, 0.75), (17, 1.0), (12, 1.0)])
def test_a_thick_cast_takes_half(bench_c: float, percent: float) -> None:
    """Half of it, at most 1 %, and never below the range of this catalyst, where it may never cure."""
    catalyst = Catalyst(percent_low=0.75, percent_usual=1.0, percent_high=3.0)
    assert usual_percent(catalyst, bench_c, section_mm=40) == percent
    assert usual_percent(replace(catalyst, percent_low=1.5, percent_usual=2), bench_c, section_mm=40) == 1.5
    assert usual_percent(catalyst, bench_c, section_mm=10) == usual_percent(catalyst, bench_c)


def test_a_thick_cast_that_gets_less_is_told_so() -> None:
    resin = replace(polyester(), catalyst=Catalyst(percent_low=0.75, percent_usual=1.0, percent_high=3.0))
    codes = [[one.code for one in catalyst_dose(resin, 100, 25, section_mm=mm).notices] for mm in (10, 40)]
    assert "catalyst-less" not in codes[0] and codes[1][0] == "catalyst-less"


def test_more_than_usual_is_faster_and_less_is_not_counted_on() -> None:
    assert catalyst_dose(polyester(), 100, 20, percent=2).haste == 2
    assert catalyst_dose(polyester(), 100, 20, percent=0.5).haste == 1


def test_temperatures_are_warned_of() -> None:
    assert "catalyst-cold" in codes(100, 14.9)
    assert "catalyst-hot" in codes(100, 30.1)
    assert codes(100, 20) == {"catalyst-by-volume"}


def test_doses_are_warned_of() -> None:
    assert "catalyst-dose" in codes(100, 20, percent=3.5)
    assert "catalyst-thick" in codes(100, 20, percent=2, section_mm=30)
    assert "catalyst-thick" not in codes(100, 20, percent=1, section_mm=30)


def test_a_frozen_workshop_is_refused() -> None:
    with pytest.raises(RequestError) as refusal:
        catalyst_dose(polyester(), 100, 9.9)
    assert str(refusal.value) == (
        "At 9.9 °C polyester does not cure properly; warm bench, mould and resin to 15 °C or more."
    )


@pytest.mark.parametrize("percent", [0.4, 4.1, float("nan"), -1])
def test_a_dose_that_cannot_cure_is_refused(percent: float) -> None:
    with pytest.raises(RequestError, match=r"% of catalyst does not cure well; give 0\.5 to 4 % by weight\.$"):
        catalyst_dose(polyester(), 100, 20, percent=percent)


def test_only_a_polyester_takes_one() -> None:
    with pytest.raises(RequestError, match=r"^test urethane takes no catalyst: its parts are A, B\.$"):
        catalyst_dose(urethane(), 100, 20)


def test_the_workshop_rule_is_put_right() -> None:
    (notice,) = catalyst_dose(polyester(), 100, 20).notices
    assert notice.message == ("1 % is not 10 ml to the kilogram but 8.7 ml: this catalyst weighs 1.15 g/ml.")
