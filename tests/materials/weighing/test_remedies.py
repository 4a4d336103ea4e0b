"""A scale that is too coarse is told off, with a way out that works."""

from __future__ import annotations

import math
import re

import pytest

from moldvol.materials.weighing.ratio import split
from moldvol.materials.weighing.remedies import (
    Weighing,
    addition_notice,
    finer_step_g,
    ratio_notices,
    remedies,
    syringe_ml,
)
from moldvol.materials.weighing.scales import Scale
from moldvol.materials.weighing.weighing_error import weighed_ratio_error
from tests.bench import HUNDREDTH, KITCHEN, TENTH


def weighings(masses: tuple[float, ...], scale: Scale, density: float | None = 1.1) -> list[Weighing]:
    readings = scale.readings_g(masses)
    return [
        Weighing(name=name, due_g=due, reading_g=reading, density_g_ml=density)
        for name, due, reading in zip("ABC", masses, readings, strict=False)
    ]


def test_four_and_four_are_told_off() -> None:
    (notice,) = ratio_notices(weighings((4, 4), KITCHEN), KITCHEN, 0.03)
    assert notice.code == "scale-too-coarse"
    assert notice.message == (
        "Do not weigh 4 g of A on a scale that shows steps of 1 g: the ratio may be off by 88 % and this resin "
        "forgives 3.0 %; use a scale that shows 0.02 g, or mix at least 300 g of A and B at once."
    )


def test_between_likely_and_worst_it_is_only_pointed_out() -> None:
    parts = weighings((100, 90), KITCHEN)
    error = weighed_ratio_error((100, 90), (100, 90), KITCHEN)
    (notice,) = ratio_notices(parts, KITCHEN, (error.worst + error.root_sum_square) / 2)
    assert notice.code == "scale-marginal"


def test_a_scale_that_does_is_left_alone() -> None:
    assert ratio_notices(weighings((100, 90), TENTH), TENTH, 0.03) == ()
    assert ratio_notices(weighings((100,), KITCHEN), KITCHEN, 0.03) == ()


@pytest.mark.parametrize("masses", [(4.0, 4.0), (50.0, 2.5), (30.0, 20.0, 10.0)])
def test_the_finer_scale_is_fine_enough_and_no_finer(masses: tuple[float, ...]) -> None:
    step = finer_step_g(masses, KITCHEN, 0.04)
    assert step is not None
    for try_g, holds in ((step, True), (step * 5, False)):
        scale = Scale(readability_g=try_g)
        assert (weighed_ratio_error(masses, scale.readings_g(masses), scale).worst <= 0.04) is holds


def test_no_usual_scale_weighs_a_breath() -> None:
    assert finer_step_g((0.001, 0.001), KITCHEN, 0.01) is None
    assert "use a scale" not in ", ".join(remedies(weighings((0.01, 0.01), HUNDREDTH), HUNDREDTH, 0.001))


def test_the_bigger_batch_is_big_enough() -> None:
    ways = ", ".join(remedies(weighings((4, 4), KITCHEN), KITCHEN, 0.05))
    least = float(re.search(r"at least ([\d.]+) g", ways)[1])  # type: ignore[index]
    due = split(least, (1, 1))
    assert weighed_ratio_error(due, KITCHEN.readings_g(due), KITCHEN).worst <= 0.05


def test_a_syringe_only_where_it_is_exact_enough() -> None:
    small = Weighing(name="catalyst", due_g=2.3, reading_g=2, density_g_ml=1.15)
    assert syringe_ml(small, 0.2) == pytest.approx(2.0)
    assert syringe_ml(small, 0.03) is None
    assert syringe_ml(Weighing(name="B", due_g=2.3, reading_g=2), 0.2) is None
    assert syringe_ml(Weighing(name="B", due_g=500, reading_g=500, density_g_ml=1), 0.2) is None


def test_a_pre_mix_holds_what_is_needed() -> None:
    pinch, resin = Weighing(name="paste", due_g=1.5, reading_g=2), Weighing(name="A", due_g=100, reading_g=100)
    (notice,) = addition_notice(pinch, resin, KITCHEN)
    assert notice.message == (
        "1.5 g of paste hardly shows in steps of 1 g: use a finer scale, or stir 10 g of it into 90 g of A "
        "beforehand and add 15 g of that, which holds 13.5 g of A."
    )


def test_no_pre_mix_without_enough_to_make_it_of() -> None:
    pinch, resin = Weighing(name="paste", due_g=0.04, reading_g=0), Weighing(name="A", due_g=3, reading_g=3)
    (notice,) = addition_notice(pinch, resin, KITCHEN)
    assert notice.message == "0.04 g of paste does not show in steps of 1 g: use a finer scale."


def test_enough_of_an_addition_needs_no_word() -> None:
    assert addition_notice(Weighing(name="chalk", due_g=60, reading_g=60), weighings((100,), KITCHEN)[0], KITCHEN) == ()


def test_ten_per_cent_and_above_are_whole() -> None:
    (notice,) = ratio_notices(weighings((10, 1), KITCHEN), KITCHEN, 0.125)
    assert "forgives 12 %" in notice.message
    assert math.isfinite(float(re.search(r"off by (\d+) %", notice.message)[1]))  # type: ignore[index]
