"""Every command has a page in the manual, every option stands on it, and no page tells of what is not there."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from moldvol.cli import COMMANDS, commands
from tests.manual import MANUAL, ROOT

FOLDER = ROOT / "docs" / "commands"
SERVES = {"bench"}  # runs until it is stopped, so nothing it prints can be compared
# Before these a page is about the option of another program.
OTHER_PROGRAMS = ("pip", "python", "git")
FENCE = re.compile(r"^```(?:console|sh)\n(.*?)^```", re.MULTILINE | re.DOTALL)
INDENTED = re.compile(r"^    (moldvol .*)$", re.MULTILINE)


def leaves(command: click.Command, name: str) -> Iterator[tuple[str, click.Command]]:
    """A command, or the commands of a group, by the words that call them."""
    if not isinstance(command, click.Group):
        yield name, command
        return
    for word, one in command.commands.items():
        yield from leaves(one, f"{name} {word}")


def command_named(name: str) -> click.Command:
    command = commands.get_command(click.Context(commands), name)
    assert command is not None
    return command


def options(command: click.Command) -> set[str]:
    """The long names of its options."""
    named = (one for one in command.params if isinstance(one, click.Option) and not one.hidden)
    return {text for one in named for text in (*one.opts, *one.secondary_opts) if text.startswith("--")}


CALLS = dict(pair for name in COMMANDS for pair in leaves(command_named(name), name))
EVERY_OPTION = {"--help", "--version"}.union(*map(options, CALLS.values()))


def text_of(page: Path) -> str:
    return page.read_text(encoding="utf-8")


def page_of(call: str) -> Path:
    return FOLDER / f"{call.split()[0]}.md"


def mentioned(text: str) -> set[str]:
    return set(re.findall(r"(?<![\w-])--[a-z][a-z-]*[a-z]", text))


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_a_page_that_the_index_names(name: str) -> None:
    assert text_of(page_of(name)).startswith(f"# moldvol {name}\n")
    assert f"({name}.md)" in text_of(FOLDER / "README.md")


@pytest.mark.parametrize("call", CALLS)
def test_every_option_stands_on_the_page(call: str) -> None:
    assert options(CALLS[call]) - mentioned(text_of(page_of(call))) == set()


@pytest.mark.parametrize("name", [name for name in COMMANDS if name not in SERVES])
def test_every_page_shows_the_command_at_work(name: str) -> None:
    assert re.search(rf"^\$ (?:.* \| )?moldvol {name}\b", text_of(page_of(name)), re.MULTILINE)


@pytest.mark.parametrize("page", MANUAL, ids=lambda page: str(page.relative_to(ROOT)))
def test_no_page_tells_of_an_option_that_is_not_there(page: Path) -> None:
    lines = [line for line in text_of(page).splitlines() if not any(f"{word} " in line for word in OTHER_PROGRAMS)]
    assert mentioned("\n".join(lines)) - EVERY_OPTION == set()


def shown_calls() -> list[tuple[Path, str]]:
    """Every command line of moldvol that a page shows in a block, run or not."""
    found = []
    for page in MANUAL:
        text = text_of(page)
        lines = [line for block in FENCE.findall(text) for line in block.splitlines()]
        typed = [line.removeprefix("$ ") for line in lines if re.match(r"(\$ )?moldvol ", line)]
        for line in (*typed, *INDENTED.findall(text)):
            found += [(page, part) for part in re.split(r" \| |&&|\|\|", line) if part.strip().startswith("moldvol ")]
    return found


@pytest.mark.parametrize(("page", "line"), shown_calls(), ids=lambda one: getattr(one, "name", one))
def test_what_is_shown_can_be_typed(page: Path, line: str) -> None:
    words = shlex.split(line, comments=True)[1:]
    call = max((call for call in CALLS if words[: len(call.split())] == call.split()), key=len, default=None)
    if call is None:
        assert words in (["--help"], ["--version"]), f"{page.name} shows no command: {line}"
        return
    given = {word for word in words if word.startswith("--")} - {"--help"}
    assert given - options(CALLS[call]) == set(), f"{page.name}: {line}"


def said() -> str:
    """All that the program can say: its source with the pieces of each sentence put together."""
    source = "\n".join(path.read_text(encoding="utf-8") for path in sorted((ROOT / "moldvol").rglob("*.py")))
    return re.sub(r'"\s*\n\s*f?"', "", source).casefold()


SAID = said()


def remarks(page: Path) -> list[str]:
    """The remarks that a page explains, in italics in the first column of their table."""
    _, _, section = text_of(page).partition("## What it may remark\n")
    rows = re.findall(r"^\| (\*.*?) \|", section.partition("\n## ")[0], re.MULTILINE)
    return [remark for row in rows for remark in re.findall(r"\*([^*]+)\*", row)]


@pytest.mark.parametrize("name", [name for name in COMMANDS if remarks(page_of(name))])
def test_the_remarks_explained_are_remarks_made(name: str) -> None:
    """Word for word, but for what stands in their gaps and for the names of options."""
    for remark in remarks(page_of(name)):
        pieces = [piece.strip(" ,.;:") for piece in re.split(r"…|`[^`]*`", remark)]
        missing = [piece for piece in pieces if piece.casefold() not in SAID]
        assert missing == [], f"{name}: {remark}"
