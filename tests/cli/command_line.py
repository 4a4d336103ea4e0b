"""The command line as a user meets it: words in, exit status, stdout and stderr out. Nothing is run in a subprocess."""

from __future__ import annotations

import io
import json
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

from moldvol.cli import commands
from moldvol.cli.running import run
from tests.files import binary_stl

WIDTH = 80


@dataclass(frozen=True)
class Outcome:
    """What a command left behind."""

    status: int
    out: str
    err: str

    @property
    def document(self) -> dict[str, Any]:
        """The one JSON object on stdout."""
        loaded = json.loads(self.out)
        assert isinstance(loaded, dict)
        return loaded

    @property
    def sentence(self) -> str:
        """The one sentence of a refusal."""
        lines = [line for line in self.err.splitlines() if line.startswith("Error: ")]
        assert len(lines) == 1, self.err
        return lines[0].removeprefix("Error: ")

    @property
    def words(self) -> str:
        """The sheet with every run of blanks and every line end as one blank, for sentences that were wrapped."""
        return " ".join(self.out.split())


def moldvol(*arguments: object, stdin: str | bytes = "") -> Outcome:
    """Run ``moldvol`` with *arguments*."""
    out, err = io.StringIO(), io.StringIO()
    given = io.TextIOWrapper(io.BytesIO(stdin if isinstance(stdin, bytes) else stdin.encode()), encoding="utf-8")
    with redirect_stdout(out), redirect_stderr(err), patch.object(sys, "stdin", given):
        status = run(commands, [str(argument) for argument in arguments])
    return Outcome(status, out.getvalue(), err.getvalue())


def answered(*arguments: object, stdin: str | bytes = "") -> dict[str, Any]:
    """The JSON of a command that must succeed, without a word on stderr."""
    outcome = moldvol(*arguments, "--json", stdin=stdin)
    assert (outcome.status, outcome.err) == (0, "")
    return outcome.document


def sheet(*arguments: object, stdin: str | bytes = "") -> str:
    """The sheet of a command that must succeed, no wider than eighty columns, its line breaks taken out."""
    outcome = moldvol(*arguments, stdin=stdin)
    assert (outcome.status, outcome.err) == (0, "")
    assert max(map(len, outcome.out.splitlines())) <= WIDTH
    return outcome.words


def refused(*arguments: object, status: int = 2, stdin: str | bytes = "") -> str:
    """The sentence of a command that must refuse, with nothing on stdout, and the same sentence as JSON."""
    told = moldvol(*arguments, stdin=stdin)
    assert (told.status, told.out) == (status, "")
    as_json = moldvol(*arguments, "--json", stdin=stdin)
    assert as_json.status == status
    assert as_json.document["error"]["message"] == told.sentence
    return told.sentence


def written(folder: Path, name: str, text: str) -> Path:
    """A file with *text* in *folder*."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def cube(folder: Path, name: str = "cube.stl") -> Path:
    """A file with a cube of 20 mm, 8 ml."""
    path = folder / name
    path.write_bytes(binary_stl())
    return path
