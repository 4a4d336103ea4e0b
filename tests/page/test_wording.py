import pytest

from moldvol.page.wording import for_the_page, refusal, without_options
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
            "Rims decide most of it; close it in your program, or take it with that error.",
        ),
        (
            "With +z up it holds little, so it was turned; --up says how.",
            "With +z up it holds little, so it was turned.",
        ),
        (
            "0.9 g do not show on a scale of 1 g; use a finer scale, or pass --unit if the part is larger than that.",
            "0.9 g do not show on a scale of 1 g; use a finer scale, or choose another unit if the part is larger than "
            "that.",
        ),
        (
            "The last coats add nothing; choose a thinner wall or another --opening.",
            "The last coats add nothing; choose a thinner wall or another opening.",
        ),
        ("--kind tells it otherwise", ""),
        ("--try-directions looks for a better way up.", ""),
        ("Pour it with --up 0,0,-1.", ""),
    ],
)
def test_options_become_knobs_or_go(told: str, shown: str) -> None:
    assert without_options(told) == shown


def test_a_refusal_is_never_without_words() -> None:
    assert refusal("Close it, or pass --accept-open to take that error.") == "Close it, or take it with that error."
    assert refusal("--nothing else was said.") == "--nothing else was said."


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
