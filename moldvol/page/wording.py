"""Sentences written for the command line, told on the page: an option becomes the knob of that name, or is left out."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from moldvol.present.report import Report, Row, Section

# What names an option, and the same in the words that stand on the page's knobs.
_KNOBS: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern), words)
    for pattern, words in (
        (r"--unit (\w+(?: or \w+)*) would make sense", r"drawn in \1 it would make sense"),
        (r"pass the right --unit or --scale", "choose the right unit, or resize it"),
        (r"pass --accept-open to take", "take it with"),
        (r"pass --unit if", "choose another unit if"),
        (r"another --opening", "another opening"),
        (r"leave --as cavity out", "take it as the solid itself"),
        (r"pass --plug (\d+)mm", r"plug holes up to \1mm"),
        (r"pass --inner-skins void", "take inner skins as hollow"),
        (r"add --allowance (\d+)%", r"set the allowance to \1%"),
        (r"take it with --allowance learned", "use it as the allowance"),
    )
)
_OPTION = re.compile(r"--[a-z]")
_BRACKET = re.compile(r" ?\([^()]*--[a-z][^()]*\)")
# From the comma or semicolon before an option to the one behind it, or to the end of the sentence.
_CLAUSE = re.compile(r"(?:; |, (?:or |and )?|^)(?:(?!; |, ).)*--[a-z](?:(?!; |, ).)*?(?=; |, |\.$|$)")


def without_options(sentence: str) -> str:
    """*sentence* with no word of options; empty if it spoke of nothing else.

    >>> without_options("The largest side is 0.1 mm, an unlikely size; --unit m would make sense.")
    'The largest side is 0.1 mm, an unlikely size; drawn in m it would make sense.'
    >>> without_options("The largest side is 5 mm, an unlikely size; --unit cm or in would make sense.")
    'The largest side is 5 mm, an unlikely size; drawn in cm or in it would make sense.'
    >>> without_options("A solid cast fills them too (--keep-voids leaves them out).")
    'A solid cast fills them too.'
    >>> without_options("--least-rubber stands it the first of these ways.")
    ''
    """
    for pattern, words in _KNOBS:
        sentence = pattern.sub(words, sentence)
    if not _OPTION.search(sentence):
        return sentence
    sentence = _CLAUSE.sub("", _BRACKET.sub("", sentence)).strip()
    return "" if sentence in ("", ".") or _OPTION.search(sentence) else sentence


def refusal(sentence: str) -> str:
    """Why something cannot be done, in the page's words where it has them: an error is never left without any."""
    return without_options(sentence) or sentence


def for_the_page(report: Report) -> Report:
    """*report* without a word of the command line's options."""
    return replace(
        report,
        sections=tuple(_section(section) for section in report.sections),
        warnings=_said(report.warnings),
    )


def _section(section: Section) -> Section:
    return replace(section, rows=tuple(map(_row, section.rows)), remarks=_said(section.remarks))


def _row(row: Row) -> Row:
    return replace(row, remark=without_options(row.remark))


def _said(sentences: Iterable[str]) -> tuple[str, ...]:
    return tuple(filter(None, map(without_options, sentences)))
