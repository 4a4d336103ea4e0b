"""The printed sheet: complete, self-contained, and deaf to what a file name tries to say."""

from __future__ import annotations

import re
from datetime import date
from html import unescape
from html.parser import HTMLParser

import pytest

from moldvol.present.pictures import Picture
from moldvol.present.report import Report, Row, Section, Step, Table
from moldvol.present.sheet import sheet_html

DAY = date(2025, 3, 1)
NASTY = '<img src="http://example.org/x.png" onerror=alert(1)>.stl'

WEIGH_OUT = Section(
    "Weigh out into one cup",
    (Row("Pour within", "8 min", "pot life"), Row("To mix", "137.4 g", weight="amount")),
    Table(
        ("", "weigh", "scale shows"),
        (("A", "72.3 g", "72.3 g"), ("B", "65.1 g", "137.4 g")),
        frozenset({1, 2}),
        ticks=True,
        large=frozenset({0, 2}),
    ),
    ("Tare the cup first.",),
)
MESH = Section("The mesh", (Row("Volume", "117 ml", "± 0.3 ml"),), Table(("", "is"), (("1", "solid"),)))
REPORT = Report(
    title="figures/owl.stl",
    verdict="Closed solid, 1 body.",
    sections=(MESH, WEIGH_OUT),
    warnings=("The thickest place is 37 mm.",),
    cautions=("Wear gloves & goggles.",),
    job="Solid cast",
    about=(Row("File", "figures/owl.stl"), Row("Unit", "mm", "assumed")),
)
PICTURE = Picture("From three sides", b"\x89PNG", "png", 120.4, 'An owl "in grey"')


class Words(HTMLParser):
    """The words of a page as a reader sees them, with its tags and attributes."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.text: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self._hidden = False
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._hidden = tag == "style"

    def handle_data(self, data: str) -> None:
        if not self._hidden:
            self.text.append(data)

    def __str__(self) -> str:
        return " ".join(" ".join(self.text).split())

    def all_of(self, tag: str) -> list[dict[str, str | None]]:
        """The attributes of every *tag*."""
        return [attributes for found, attributes in self.tags if found == tag]


def sheet(report: Report = REPORT, **more: object) -> str:
    return sheet_html(report, made_on=DAY, **more)  # type: ignore[arg-type]


def words(report: Report = REPORT, **more: object) -> Words:
    return Words(sheet(report, **more))


def test_everything_in_the_report_is_on_the_sheet() -> None:
    text = str(words())
    for section in REPORT.sections:
        assert section.heading in text
        assert section.table is not None
        expected = [cell for row in section.table.rows for cell in row]
        expected += [piece for row in section.rows for piece in (row.label, row.value, row.remark)]
        assert [piece for piece in (*expected, *section.table.columns, *section.remarks) if piece not in text] == []
    assert REPORT.verdict in text
    assert "The thickest place is 37 mm." in text
    assert "Wear gloves & goggles." in text


def test_the_sheet_is_told_in_the_order_of_its_use() -> None:
    text = str(words(settings={"wall": "3mm"}, steps=[Step("Coat 1")]))
    order = ["owl.stl", "Mind", "Cautions", "Weigh out into one cup", "After that", "What it really took"]
    order += ["The mesh", "Asked for wall 3mm moldvol"]
    places = [text.index(heading) for heading in order]
    assert places == sorted(places)


def test_head_of_the_sheet() -> None:
    page = words()
    text = str(page)
    assert text.startswith("Solid cast: owl.stl Solid cast owl.stl To mix 137.4 g File figures/owl.stl Unit mm assumed")
    assert "Date 2025-03-01 Closed solid, 1 body. Mind" in text
    assert page.all_of("html") == [{"lang": "en"}]
    assert {"name": "viewport", "content": "width=device-width, initial-scale=1"} in page.all_of("meta")


def test_only_a_file_loses_its_folders_in_the_headline() -> None:
    assert "<h1>12 g/ml of resin</h1>" in sheet(Report("12 g/ml of resin", "", ()))
    windows = Report(r"C:\figures\owl.stl", "", (), about=(Row("File", r"C:\figures\owl.stl"),))
    assert "<h1>owl.stl</h1>" in sheet(windows)


def test_a_row_of_the_weigh_out_as_it_is_written() -> None:
    """A golden piece: box, part, reading in large figures, room for what was poured."""
    rows = re.findall(r"<tr><td class=\"box\">.*?</tr>", sheet())
    assert rows[1] == (
        '<tr><td class="box"><input type="checkbox" aria-label="B: done"></td>'
        '<td class=" large">B</td>'
        '<td class="figure" data-of="weigh">65.1 g</td>'
        '<td class="figure large" data-of="scale shows">137.4 g</td>'
        '<td class="poured" data-of="really poured"><input type="text" inputmode="decimal" autocomplete="off" '
        'aria-label="B: really poured"></td></tr>'
    )


def test_each_row_of_the_bench_has_one_box_and_one_line() -> None:
    page = words(steps=[Step("Turn the mould until it gels"), Step("Coat 2", "41 g", "8:00", "16:00")])
    boxes = [one for one in page.all_of("input") if one.get("type") == "checkbox"]
    poured = [one["aria-label"] for one in page.all_of("input") if str(one.get("aria-label")).endswith("really poured")]
    assert len(boxes) == len(WEIGH_OUT.table.rows) + 2  # type: ignore[union-attr]
    assert poured == ["A: really poured", "B: really poured", "Coat 2: really poured"]


def test_steps_say_what_how_much_and_when() -> None:
    text = str(words(steps=[Step("Coat 1", "55 g", "0:00", "8:00", "turn slowly")]))
    assert "After that do amount from until really poured Coat 1 turn slowly 55 g 0:00 8:00" in text


def test_steps_have_no_columns_in_which_nothing_stands() -> None:
    text = str(words(steps=[Step("Coat 1", "55 g"), Step("Wait", remark="16 h")]))
    assert "After that do amount really poured Coat 1 55 g Wait 16 h What it really took" in text
    text = str(words(steps=[Step("Let it cool", at="30:00")]))
    assert "After that do from Let it cool 30:00 What it really took" in text
    text = str(words(steps=[Step("Grease the mould"), Step("Screw it together")]))
    assert "After that Grease the mould Screw it together What it really took" in text


def test_what_the_sheet_is_for_leads() -> None:
    ways = Section("Slow resin", (), Table(("", "cost"), (("solid", "2.36"),), leads=True), ("All for one cast.",))
    text = str(words(Report("t", "", (MESH, ways))))
    assert text.index("Slow resin cost solid 2.36 All for one cast.") < text.index("The mesh")


def test_what_stands_in_the_head_is_not_told_twice() -> None:
    size = Row("Size", "20 × 20 × 20 mm")
    report = Report("t", "", (Section("The mesh", (size, Row("Volume", "8 ml"))),), about=(size,))
    assert str(words(report)).count("20 × 20 × 20 mm") == 1
    assert "The mesh Volume 8 ml" in str(words(report))


def test_several_amounts_stand_side_by_side_below_the_head() -> None:
    rows = tuple(Row(name, f"{number} g", weight="amount") for number, name in enumerate(("Rubber", "Water")))
    report = Report("t", "Fine.", (Section("s", rows),))
    assert "Date 2025-03-01 Rubber 0 g Water 1 g Fine." in str(words(report))


def test_a_long_sheet_is_set_closer() -> None:
    assert '<body class="long">' in sheet(steps=[Step(f"Step {number}") for number in range(7)])
    assert "<body>" in sheet(steps=[Step("Step")])


def test_steps_alone_are_the_order() -> None:
    assert "In this order" in str(words(Report("t", "", ()), steps=[Step("Lay the mat")]))


def test_what_is_done_before_stands_above_the_weigh_out() -> None:
    weigh = Section("Weigh out", (), Table(("", "weigh"), (("A", "5 g"),), ticks=True))
    steps = [Step("Grease the mould", before=True), Step("Wait")]
    text = str(words(Report("t", "", (weigh,)), steps=steps))
    places = [text.index(one) for one in ("First", "Grease the mould", "Weigh out", "After that", "Wait")]
    assert places == sorted(places)


def test_there_is_room_to_write() -> None:
    page = words()
    assert page.all_of("textarea")[0]["aria-label"] == "Notes"
    assert "Poured in all Left in the cup Temperature Mixed at" in str(page)


def test_settings_stand_as_they_were_typed() -> None:
    assert 'Asked for resin fast "A" pot 1/8l' in str(words(settings={"resin": 'fast "A"', "pot": "1/8l"}))
    assert "Asked for" not in str(words())


def test_pictures_travel_inside_the_file() -> None:
    page = words(pictures=[PICTURE])
    assert page.all_of("img") == [{"src": "data:image/png;base64,iVBORw==", "alt": 'An owl "in grey"'}]
    assert page.all_of("figure") == [{"style": "width: 120mm"}]


def test_nothing_is_loaded_and_nothing_runs() -> None:
    page = words(pictures=[PICTURE], settings={"a": "b"}, steps=[Step("s")])
    for _, attributes in page.tags:
        assert "href" not in attributes
        assert not [name for name in attributes if name.startswith("on")]
        assert str(attributes.get("src", "data:")).startswith("data:")
    assert {tag for tag, _ in page.tags} & {"script", "link", "iframe", "form", "object", "embed"} == set()
    html = sheet(pictures=[PICTURE])
    assert re.search(r"https?:|@import|url\(", html) is None
    (policy,) = [one for one in page.all_of("meta") if one.get("http-equiv") == "Content-Security-Policy"]
    assert str(policy["content"]).startswith("default-src 'none'; img-src data:; style-src 'unsafe-inline'")


@pytest.mark.parametrize("where", ["title", "verdict", "about", "row", "cell", "remark", "warning", "caution"])
def test_what_a_file_is_called_is_words_and_never_markup(where: str) -> None:
    section = Section(
        NASTY if where == "remark" else "",
        (Row("x", NASTY if where == "row" else ""),),
        Table(("c",), ((NASTY if where == "cell" else "",),), ticks=True),
    )
    report = Report(
        NASTY if where == "title" else "t",
        NASTY if where == "verdict" else "",
        (section,),
        (NASTY,) if where == "warning" else (),
        (NASTY,) if where == "caution" else (),
        about=(Row("File", NASTY),) if where == "about" else (),
    )
    page = words(report)
    assert page.all_of("img") == []
    assert NASTY in unescape(sheet(report))


def test_settings_steps_and_pictures_are_words_too() -> None:
    page = words(settings={NASTY: NASTY}, steps=[Step(NASTY, NASTY)], pictures=[Picture(NASTY, b"", "png", 10, NASTY)])
    assert [one["src"] for one in page.all_of("img")] == ["data:image/png;base64,"]


def test_dark_is_for_screens_and_paper_is_white() -> None:
    html = sheet()
    assert html.count("prefers-color-scheme") == html.count("@media screen and (prefers-color-scheme: dark)") == 1
    assert "--paper: #fff; --ink: #111;" in html


def test_an_empty_report_makes_a_sheet() -> None:
    assert str(words(Report("t", "", ()))).startswith("t t Date 2025-03-01 Notes moldvol")


def test_where_nothing_is_weighed_there_is_room_for_notes_alone() -> None:
    page = words(Report("t", "", (MESH,)))
    assert str(page).index("The mesh") < str(page).index("Notes")
    assert "really" not in str(page)
    assert len(page.all_of("textarea")) == 1


def test_today_is_on_the_sheet_unless_told() -> None:
    before = date.today()
    assert sheet_html(REPORT).count(before.isoformat()) or date.today() != before


def test_a_report_keeps_its_head_when_more_follows() -> None:
    more = REPORT.followed_by(MESH, warnings=("w", "w2"), about=(Row("Resin", "slow"),))
    assert (more.job, more.title, more.sections[-1]) == ("Solid cast", "figures/owl.stl", MESH)
    assert [row.label for row in more.about] == ["File", "Unit", "Resin"]
    assert more.warnings == ("The thickest place is 37 mm.", "w", "w2")
