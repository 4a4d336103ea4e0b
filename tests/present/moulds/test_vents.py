"""How directions, air and rigid moulds are told."""

from __future__ import annotations

import pytest

from moldvol.geometry.moulding.levels import AirPocket
from moldvol.geometry.moulding.undercuts import Release, Split
from moldvol.present.moulds import vents
from moldvol.present.numbers import Units


def release(share: float, pull=(0.0, 0.0, 1.0)) -> Release:
    return Release(pull, share, 100 * share, 0.0, 0.1, 0.005, (1.0, 2.0, 3.0))


def split(share: float, pull=(0.0, 0.0, 1.0)) -> Split:
    return Split(pull, share, 100 * share, 0.005, 10.0, 0.01)


def pocket(volume_mm3: float) -> AirPocket:
    return AirPocket((1.0, 2.0, 3.0), 4.0, volume_mm3, 0.0)


@pytest.mark.parametrize(
    ("direction", "told"),
    [((1, 0, 0), "+x"), ((0, -1, 0), "-y"), ((0, 0.70710678, -0.70710678), "0,0.71,-0.71"), ((-1e-17, 0, 1), "+z")],
)
def test_a_direction_is_an_axis_or_what_can_be_typed(direction, told):
    assert vents.way(direction) == told


def test_only_what_comes_off_better_is_told_beside():
    labels = [row.label for row in vents.release_rows(release(0.3), release(0.29), [split(0.2)], Units.METRIC)]
    assert "Best pull" in labels and "Better parted" not in labels
    same = vents.release_rows(release(0.3), release(0.3), [split(0.2), split(0.2, (1.0, 0.0, 0.0))], Units.METRIC)
    assert [row.label for row in same] == ["One rigid part", "Two rigid parts", "Held around"]
    better = vents.release_rows(release(0.3), None, [split(0.2), split(0.05, (1.0, 0.0, 0.0))], Units.METRIC)
    assert [row.remark for row in better if row.label == "Better parted"] == ["pulled apart along +x"]


def test_the_grain_of_sampling_holds_nothing():
    assert vents.held_back(release(0.004)) == "comes off"
    assert vents.held_back(release(0.3)) == "30 % of the surface holds it"


def test_a_long_list_of_pockets_says_how_many_are_left_out():
    many = [pocket(20.0)] * (vents.MOST_SHOWN + 1)
    assert len(vents.vents_table(many, Units.METRIC).rows) == vents.MOST_SHOWN
    assert vents.more_pockets(many) == ("… and 1 smaller one.",)
    assert vents.more_pockets(many[:2]) == ()


def test_no_air_is_said_in_a_word():
    assert vents.air_row(0.0, 0.0, [], Units.METRIC).value == "none"
    assert vents.vents_table([], Units.METRIC) is None


def test_shallow_pockets_want_no_vent():
    deep, shallow = pocket(20.0), AirPocket((1.0, 2.0, 3.0), 0.7, 20.0, 0.0)
    assert deep.depth_mm >= 1 > shallow.depth_mm
    assert vents.worth_a_vent([deep, shallow, shallow]) == (deep,)
    assert vents.shallow_pockets([deep, shallow, shallow], Units.METRIC) == (
        "2 pockets less than 1 mm deep are left out: they want no vent.",
    )
    assert vents.shallow_pockets([shallow], Units.METRIC) == (
        "1 pocket less than 1 mm deep is left out: it wants no vent.",
    )
    assert vents.shallow_pockets([deep], Units.METRIC) == ()
