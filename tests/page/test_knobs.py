import pytest

from moldvol.casting.mixing.pots import USUAL_SHARE
from moldvol.page.knobs import FIELDS, PARSERS, USUAL
from moldvol.present.numbers import Units


@pytest.mark.parametrize(
    ("name", "text", "field", "value"),
    [
        ("wall", "1/8in", "wall_mm", 3.175),
        ("wall", "0,3 cm", "wall_mm", 3.0),
        ("unit", "inch", "unit", "in"),
        ("unit", "", "unit", None),
        ("scale", "1.02", "scale", 1.02),
        ("copies", "12", "copies", 12),
        ("copies", "0" * 5000 + "100000", "copies", 100_000),
        ("coats", "", "coats", None),
        ("coats", "3", "coats", 3),
        ("allowance", "8%", "allowance", 0.08),
        ("allowance", "", "allowance", None),
        ("pot", "1/2uspint", "pot_ml", pytest.approx(236.588, abs=0.001)),
        ("temperature", "72f", "bench_c", pytest.approx(22.22, abs=0.01)),
        ("readability", "0.1g", "readability_g", 0.1),
        ("opening", "0, 0, 30", "opening", (0.0, 0.0, 30.0)),
        ("opening", "top", "opening", "top"),
        ("opening", "", "opening", None),
        ("units", "us", "units", Units.US),
        ("accept_open", "yes", "accept_open", True),
    ],
)
def test_a_knob_takes_what_is_said_at_the_bench(name: str, text: str, field: str, value: object) -> None:
    knobs = USUAL.turned(name, text)
    assert getattr(knobs.asked, field) == value
    assert not knobs.faults


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("wall", "0mm"),
        ("wall", "-3mm"),
        ("wall", "thick"),
        ("wall", ""),
        ("unit", "furlong"),
        ("scale", "nan"),
        ("scale", "0"),
        ("copies", "0"),
        ("copies", "2.5"),
        ("copies", "²"),
        ("copies", "9" * 30),
        ("copies", "0" * 30),
        ("copies", "100001"),
        ("copies", "0000000019999999"),
        ("coats", "51"),
        ("allowance", "-5%"),
        ("pot", "1 pint"),
        ("temperature", "warm"),
        ("readability", "0"),
        ("opening", "left"),
    ],
)
def test_a_knob_that_cannot_be_understood_keeps_its_setting_and_says_why(name: str, text: str) -> None:
    knobs = USUAL.turned(name, text)
    assert knobs.asked == USUAL.asked
    assert knobs.typed[name] == text
    assert knobs.faults[name].endswith((".", ")"))


def test_a_fault_goes_when_the_knob_is_put_right() -> None:
    knobs = USUAL.turned("wall", "thick").turned("copies", "3")
    assert set(knobs.faults) == {"wall"}
    assert not knobs.turned("wall", "3mm").faults


def test_every_knob_has_its_usual_setting_and_keeps_it() -> None:
    assert set(USUAL.typed) == set(PARSERS) == set(FIELDS)
    for name, text in USUAL.typed.items():
        assert USUAL.turned(name, text).asked == USUAL.asked


def test_there_is_no_other_knob() -> None:
    with pytest.raises(KeyError):
        USUAL.turned("colour", "red")


def test_only_unit_scale_and_holes_make_the_part_anew() -> None:
    assert USUAL.turned("wall", "5mm").asked.reading == USUAL.asked.reading
    assert USUAL.turned("scale", "2").asked.reading != USUAL.asked.reading


def test_the_bench_is_the_one_of_the_command_line() -> None:
    bench = USUAL.turned("pot", "250ml").turned("temperature", "25c").asked.bench
    assert (bench.pot_ml, bench.bench_c, bench.usable_share) == (250, 25, USUAL_SHARE)
