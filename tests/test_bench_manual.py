"""The manual of the bench is run: its TOML is loaded, its Python is asked, its commands give what it shows."""

from __future__ import annotations

import doctest
import re
import shlex
import tempfile
from pathlib import Path

import msgspec
import pytest

from moldvol.materials.buying import stock
from moldvol.materials.buying.stock import read_stock
from moldvol.materials.grade import GRADE_NAMES
from moldvol.materials.reading import entries, part_entries
from moldvol.materials.shelf import load_shelf
from tests.cli.command_line import moldvol, written
from tests.manual import MANUAL

ROOT = Path(__file__).parent.parent
DOCS = ROOT / "docs"
# The pages on which the library is asked; library.md and moulds.md have tests of their own.
ASKING = [page for page in MANUAL if ">>> " in page.read_text("utf-8") and page.stem not in ("library", "moulds")]
ANYTHING = "…"  # in what a command shows: what differs from one computer to the next


def blocks(page: str, language: str) -> list[str]:
    return re.findall(
        rf"^```{language}\n(.*?)^```", (DOCS / page).read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE
    )


@pytest.mark.parametrize("number", range(len(blocks("shelf.md", "toml"))))
def test_every_shelf_in_the_manual_loads(number: int, tmp_path: Path) -> None:
    text = blocks("shelf.md", "toml")[number]
    file = written(tmp_path, "mine.toml", text)
    if text.startswith("[stock."):
        assert read_stock(file).items
        return
    shelf = load_shelf([file])
    tables = (shelf.resins, shelf.fillers, shelf.plasters, shelf.small_moulds)
    mine = [item for table in tables for item in table.values() if item.shelf == "mine.toml"]
    assert len(mine) == len(re.findall(r"^\[\w+\.[\w-]+\]$", text, re.MULTILINE))


@pytest.mark.parametrize(
    "kind",
    [
        entries.ResinEntry,
        entries.FillerEntry,
        entries.PlasterEntry,
        entries.SmallMouldEntry,
        part_entries.PartEntry,
        part_entries.CatalystEntry,
        stock.StockEntry,
        stock.StockPartEntry,
        stock.PackEntry,
        stock.KitEntry,
    ],
)
def test_every_key_of_a_shelf_is_in_the_manual(kind: type[msgspec.Struct]) -> None:
    page = (DOCS / "shelf.md").read_text(encoding="utf-8")
    for field in msgspec.structs.fields(kind):
        assert re.search(rf"\b{field.name}\b", page), field.name


def test_every_grade_is_in_the_manual() -> None:
    page = (DOCS / "shelf.md").read_text(encoding="utf-8")
    assert all(f"| `{grade}` |" in page for grade in GRADE_NAMES)


@pytest.mark.parametrize("page", ASKING, ids=lambda page: page.name)
def test_the_library_answers_as_the_manual_says(page: Path) -> None:
    result = doctest.testfile(str(page), module_relative=False, encoding="utf-8")
    assert result.attempted > 0
    assert result.failed == 0


def test_the_pour_book_of_the_manual(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    # A short path: a long one would wrap in the line that names the book.
    with tempfile.TemporaryDirectory() as folder:
        monkeypatch.setattr("platformdirs.user_data_path", lambda *_, **__: Path(folder))
        for transcript in blocks("commands/log.md", "console"):
            command, _, shown = transcript.partition("\n")
            assert_shows(run(command.removeprefix("$ ")), shown)


def run(command: str) -> str:
    """Stdout of a line of commands, each reading what the one before wrote."""
    piped = ""
    for part in command.split(" | "):
        program, *arguments = shlex.split(part)
        assert program == "moldvol"
        outcome = moldvol(*arguments, stdin=piped)
        assert (outcome.status, outcome.err) == (0, ""), outcome.err
        piped = outcome.out
    return piped


def assert_shows(output: str, shown: str) -> None:
    lines, expected = output.rstrip().splitlines(), shown.rstrip().splitlines()
    assert len(lines) == len(expected), output
    for line, wanted in zip(lines, expected, strict=True):
        assert re.fullmatch(".*".join(map(re.escape, wanted.rstrip().split(ANYTHING))), line), output
