"""A report as HTML for the page, every word of it escaped: file names are other people's."""

from __future__ import annotations

from collections.abc import Iterable

from markupsafe import Markup, escape

from moldvol.present.report import Report, Row, Section, Table


def report_html(report: Report) -> str:
    """*report* below its title: verdict, warnings, sections, cautions."""
    return Markup("\n").join(
        [
            *([_tag("p", report.verdict, "verdict")] if report.verdict else []),
            *([_list("Mind", report.warnings, "warnings")] if report.warnings else []),
            *(_section(section) for section in report.sections),
            *([_list("Cautions", report.cautions, "cautions")] if report.cautions else []),
        ]
    )


def amounts_html(rows: Iterable[Row]) -> str:
    """The amounts that a sheet ends in, to be read across the workshop."""
    return Markup("").join(
        Markup(
            '<div class="amount"><span class="amount-label">{}</span><span class="amount-value">{}</span></div>'
        ).format(row.label, row.value)
        for row in rows
    )


def cautions_html(cautions: tuple[str, ...]) -> str:
    """The cautions alone, for the top of the weigh-out."""
    return _list("Cautions", cautions, "cautions")


def _section(section: Section) -> Markup:
    parts = [_tag("h2", section.heading)]
    if section.rows:
        parts.append(Markup("<dl>{}</dl>").format(Markup("").join(_row(row) for row in section.rows)))
    if section.table is not None:
        parts.append(_table(section.table, section.heading))
    parts.extend(_tag("p", remark, "remark") for remark in section.remarks)
    return Markup("<section>{}</section>").format(Markup("").join(parts))


def _row(row: Row) -> Markup:
    remark = Markup(' <span class="remark">{}</span>').format(row.remark) if row.remark else Markup("")
    return Markup('<div class="row {}"><dt>{}</dt><dd><span class="value">{}</span>{}</dd></div>').format(
        row.weight, row.label, row.value, remark
    )


def _table(table: Table, caption: str) -> Markup:
    def cells(row: Iterable[str], tag: str) -> Markup:
        return Markup("").join(
            Markup("<{0}{1}>{2}</{0}>").format(
                Markup(tag if tag == "th" or place else "td"),
                Markup(' class="number"') if place in table.numeric else Markup(""),
                cell,
            )
            for place, cell in enumerate(row)
        )

    head = Markup("<thead><tr>{}</tr></thead>").format(cells(table.columns, "th"))
    body = Markup("").join(Markup("<tr>{}</tr>").format(cells(row, "td")) for row in table.rows)
    # A wide table scrolls within itself, by keyboard too, never the page.
    return Markup(
        '<div class="scroll" tabindex="0" role="region" aria-label="{}"><table>{}<tbody>{}</tbody></table></div>'
    ).format(caption, head, body)


def _list(heading: str, lines: Iterable[str], kind: str) -> Markup:
    items = Markup("").join(_tag("li", line) for line in lines)
    return Markup('<section class="{}"><h2>{}</h2><ul>{}</ul></section>').format(kind, heading, items)


def _tag(name: str, text: str, kind: str = "") -> Markup:
    attribute = Markup(' class="{}"').format(kind) if kind else Markup("")
    return Markup("<{0}{1}>{2}</{0}>").format(Markup(name), attribute, escape(text))
