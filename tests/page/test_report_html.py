from moldvol.page.report_html import amounts_html, cautions_html, plots_html, report_html
from moldvol.present.pictures import Picture
from moldvol.present.report import Report, Row, Section, Table

NASTY = '<img src=x onerror="alert(1)">'


def test_every_word_is_escaped() -> None:
    table = Table((NASTY, "b"), ((NASTY, NASTY),), frozenset({1}), large=frozenset({1}))
    section = Section(NASTY, (Row(NASTY, NASTY, NASTY, "amount"),), table, (NASTY,))
    html = report_html(Report(NASTY, NASTY, (section,), (NASTY,), (NASTY,)))
    html += amounts_html([Row(NASTY, NASTY)]) + cautions_html((NASTY,))
    html += plots_html([Picture(NASTY, b"<svg/>", "svg", 80.0, NASTY)])
    assert "<img src=x" not in html
    assert html.count("&lt;img src=x") == 17


def test_a_report_is_told_in_full() -> None:
    table = Table(("", "weigh"), (("A", "73 g"),), frozenset({1}))
    html = report_html(
        Report("owl", "Closed.", (Section("The cast", (Row("Net", "126 g", "± 1 g"),), table, ("So.",)),))
    )
    for word in ("Closed.", "<h2>The cast</h2>", "Net", "126 g", "± 1 g", "73 g", "So."):
        assert word in html


def test_a_table_can_be_read_aloud_and_scrolled_by_keyboard() -> None:
    html = report_html(Report("owl", "", (Section("Pots", table=Table(("pot", "A"), (("1", "73 g"),))),)))
    assert 'role="region" aria-label="Pots"' in html
    assert 'tabindex="0"' in html
    assert '<th scope="row">1</th>' in html


def test_an_empty_report_is_empty() -> None:
    assert not report_html(Report("owl", "", ())).strip()
