from types import SimpleNamespace
from typing import Any

import pytest

from moldvol.casting.mixing.recipe import MixRequest
from moldvol.errors import RequestError
from moldvol.materials.shelf import load_shelf
from moldvol.page.part import Core, PartSummary
from moldvol.page.session import Refused, Session, settings_of
from moldvol.page.tabs import BY_KEY, TABS
from moldvol.page.told import Told, ToPour
from moldvol.present.report import Report

SHELF = load_shelf()
TOLD = Told(report=Report("owl", "fine", ()))


def part(**more: Any) -> PartSummary:
    usual: dict[str, Any] = {
        "name": "owl.stl",
        "size_mm": (10.0, 10.0, 20.0),
        "centre_mm": (0.0, 0.0, 0.0),
        "unit": "mm",
        "parts": ("",),
        "closed": True,
        "shown_triangles": 100,
        "triangles": 100,
        "simplified": False,
        "thinnest_mm": 1.0,
        "thinnest_at_mm": (0.0, 0.0, 0.0),
        "thickest_at_mm": (0.0, 0.0, 0.0),
        "thickest_mm": 5.0,
    }
    return PartSummary(**{**usual, **more})


def heard(session: Session) -> list[str]:
    said: list[str] = []
    session.listeners.append(said.append)
    return said


def test_everybody_who_looks_is_told() -> None:
    session = Session("key")
    first, second = heard(session), heard(session)
    session.turn("wall", "5mm")
    session.take_part(part())
    session.working("Reading", 0.5)
    assert first == second == ["knobs", "part", "work"]


def test_turning_a_knob_makes_sheets_stale() -> None:
    session = Session("key")
    session.take_part(part())
    session.take_sheet("solid", session.asked, TOLD)
    assert not session.is_stale("solid")
    session.turn("copies", "2")
    assert session.is_stale("solid")


def test_a_knob_that_cannot_be_understood_leaves_sheets_alone() -> None:
    session = Session("key")
    session.take_sheet("solid", session.asked, TOLD)
    session.turn("copies", "many")
    assert not session.is_stale("solid")


def test_a_new_part_voids_what_was_told_of_the_old_one() -> None:
    session = Session("key")
    session.take_part(part())
    session.take_sheet("solid", session.asked, TOLD)
    session.take_sheet("hollow", session.asked, "no hollow")
    session.take_core(Core(b"core", (1.0, 2.0, 3.0)))
    session.take_part(part(name="hand.stl"))
    assert (session.told, session.failed, session.core, session.enters_at_mm) == ({}, {}, None, None)
    assert session.is_stale("solid")


def test_a_refused_file_leaves_an_empty_bench() -> None:
    session = Session("key")
    session.take_part(part())
    session.refuse(Refused("bad.stl", "bad.stl is no mesh."))
    assert session.part is None
    assert session.refused is not None
    session.take_part(part())
    assert session.refused is None


def test_a_failure_takes_the_place_of_a_sheet_and_the_other_way_round() -> None:
    session = Session("key")
    session.take_sheet("hollow", session.asked, "no such opening")
    assert session.failed == {"hollow": "no such opening"}
    session.take_sheet("hollow", session.asked, TOLD)
    assert not session.failed


@pytest.mark.parametrize(
    ("depth", "trouble", "ready"), [(False, "", False), (True, "", True), (False, "too thin", False)]
)
def test_a_tab_that_needs_depth_waits_for_it(depth: bool, trouble: str, ready: bool) -> None:
    session = Session("key")
    assert not session.is_ready(BY_KEY["part"])
    session.take_part(part(has_depth=depth, trouble=trouble))
    assert session.is_ready(BY_KEY["solid"])
    assert session.is_ready(BY_KEY["hollow"]) is ready


def to_pour(mass_g: float = 300.0) -> ToPour:
    cup = MixRequest(resin=SHELF.resin("fast-urethane"), mass_g=mass_g)
    return ToPour(title="Solid cast", mould="owl", cups=(cup,), planned_g=mass_g, net_g=280.0)


def test_a_sheet_s_mix_goes_to_the_scale_with_the_mould_s_name() -> None:
    session = Session("key")
    session.take_part(part())
    session.begin_pour(to_pour())
    assert session.pour is not None
    assert (session.pour.mould, session.pour.planned_g, len(session.pour.cups)) == ("owl", 300.0, 1)
    session.end_pour()
    assert session.pour is None


def test_a_mix_is_weighed_in_the_cups_of_its_sheet_whatever_the_pot_is_now() -> None:
    session = Session("key")
    session.turn("pot", "200ml")
    session.begin_pour(to_pour())
    assert session.pour is not None
    assert len(session.pour.cups) == 1


def test_with_a_pot_an_amount_is_weighed_cup_by_cup() -> None:
    session = Session("key")
    session.turn("pot", "200ml")
    session.begin_amount("300g", SHELF)
    assert session.pour is not None
    assert len(session.pour.cups) > 1
    assert session.pour.planned_g > 300.0  # what stays in the pots comes on top


def test_a_pour_outlives_the_part() -> None:
    session = Session("key")
    session.begin_pour(to_pour())
    session.put_away()
    assert session.pour is not None


@pytest.mark.parametrize(("text", "planned_g"), [("205g", 205.0), ("1 lb", 453.59237)])
def test_an_amount_can_be_weighed_without_a_part(text: str, planned_g: float) -> None:
    session = Session("key")
    session.begin_amount(text, SHELF)
    assert session.pour is not None
    assert session.pour.planned_g == pytest.approx(planned_g)
    assert session.pour.net_g is None


@pytest.mark.parametrize("text", ["", "some", "0g", "-5g", "1 pint"])
def test_what_is_no_amount_is_refused(text: str) -> None:
    session = Session("key")
    with pytest.raises(RequestError):
        session.begin_amount(text, SHELF)
    assert session.pour is None


def test_the_printed_sheet_names_the_knobs_of_its_tab_only() -> None:
    session = Session("key")
    session.turn("wall", "5mm")
    settings = settings_of(session.knobs, "hollow")
    assert settings["wall"] == "5mm"
    assert settings["coats"] == "the usual"
    assert "kind of mould" not in settings
    assert "drawn in" not in settings


def test_the_printed_sheet_says_what_was_done_to_the_part() -> None:
    session = Session("key")
    session.turn("unit", "in")
    session.turn("inner_skins", "void")
    settings = settings_of(session.knobs, "hollow")
    assert (settings["drawn in"], settings["inner skins are"]) == ("inches", "hollows")


def test_another_file_forgets_what_was_set_for_the_last_and_keeps_the_rest() -> None:
    session = Session("key")
    session.turn("unit", "in")
    session.begin_file("owl.stl")
    assert session.asked.unit == "in"  # set for the file that comes
    for name, text in (("accept_open", "yes"), ("height", "90mm"), ("opening", "0,0,30"), ("wall", "3mm")):
        session.turn(name, text)
    session.begin_file("owl.stl")
    assert (session.asked.unit, session.asked.height_mm, session.asked.opening) == ("in", 90.0, (0.0, 0.0, 30.0))
    assert not session.asked.accept_open
    session.begin_file("hand.stl")
    assert (session.asked.unit, session.asked.height_mm, session.asked.opening) == (None, None, None)
    assert session.asked.wall_mm == 3.0


def test_pictures_of_which_more_come_are_new_but_not_all() -> None:
    session = Session("key")
    session.take_sheet("hollow", session.asked, TOLD)
    session.take_plots("hollow", session.asked, (), whole=False)
    assert not session.has_old_plots("hollow")
    assert session.lacks_plots("hollow")
    session.take_plots("hollow", session.asked, ())
    assert not session.lacks_plots("hollow")
    session.turn("wall", "6mm")
    assert session.has_old_plots("hollow")


def test_every_tab_s_knobs_exist() -> None:
    assert all(name in Session("key").knobs.typed for tab in TABS for name in tab.knobs)


def test_listeners_may_leave_while_they_are_told() -> None:
    session = Session("key")
    left = SimpleNamespace(told=0)

    def leave(what: str) -> None:
        left.told += 1
        session.listeners.remove(leave)

    session.listeners.append(leave)
    session.idle()
    session.idle()
    assert left.told == 1
