import pytest

from moldvol.page.wording import for_the_page, without_options
from moldvol.present.report import Report, Row, Section


@pytest.mark.parametrize(
    ("told", "shown"),
    [
        ("Nothing of options here; it stays.", "Nothing of options here; it stays."),
        ("A well-known tool -- with dashes.", "A well-known tool -- with dashes."),
        (
            "A second solid of 1 ml lies within the first; if it is meant as a hollow, pass --inner-skins void.",
            "A second solid of 1 ml lies within the first; if it is meant as a hollow, take inner skins as hollow.",
        ),
        (
            "Rims decide most of it; close it in your program, or pass --accept-open to take that error.",
            "Rims decide most of it; close it in your program.",
        ),
        (
            "With +z up it holds little, so it was turned; --up says how.",
            "With +z up it holds little, so it was turned.",
        ),
        ("--kind tells it otherwise", ""),
        ("--try-directions looks for a better way up.", ""),
        ("Pour it with --up 0,0,-1.", ""),
    ],
)
def test_options_become_knobs_or_go(told: str, shown: str) -> None:
    assert without_options(told) == shown


def test_a_report_keeps_everything_else() -> None:
    section = Section(
        "Which way up", (Row("Taken for", "a master", "--kind tells it otherwise"),), None, ("--up 1,0,0.",)
    )
    report = Report("owl", "fine", (section,), ("Mind this.", "--unit m would make sense."), ("Goggles.",))
    shown = for_the_page(report)
    assert shown.sections[0].rows == (Row("Taken for", "a master", ""),)
    assert shown.sections[0].remarks == ()
    assert shown.warnings == ("Mind this.", "drawn in m it would make sense.")
    assert shown.cautions == ("Goggles.",)
