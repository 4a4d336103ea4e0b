"""The transcripts in the manual: ``python -m tests.manual [PAGE…]`` writes them anew, tests/test_manual.py compares.

A transcript is a fenced block marked ``console``; a line ``$ moldvol …`` is followed by what it prints. Commands
are typed in the folder of the project, with eighty columns and no colour. Several commands may stand in one block,
and commands of moldvol may be piped into one another.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import sys
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from moldvol.cli import commands
from moldvol.cli.running import run

ROOT = Path(__file__).parent.parent
# These two write files and are played by tests of their own: tests/test_bench_manual.py and tests/cli/test_batch.py.
PLAYED_ELSEWHERE = {"log.md", "batch.md"}
MANUAL = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
PAGES = [page for page in MANUAL if page.name not in PLAYED_ELSEWHERE]
PIPE = " | "
BLOCK = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class Transcript:
    """One line of commands and what it prints."""

    page: Path
    command: str
    output: str


def transcripts() -> list[Transcript]:
    """Every line of commands of every page, in order; what needs a shell is shown but not run here."""
    found = []
    for page in PAGES:
        for block in BLOCK.findall(page.read_text(encoding="utf-8")):
            for piece in _pieces(block):
                line, _, output = piece.partition("\n")
                if not needs_a_shell(line):
                    found.append(Transcript(page, line, output.rstrip()))
    return found


def needs_a_shell(line: str) -> bool:
    """Whether *line* writes to files or calls other programs than ours."""
    return bool(set(line) & set("><&;*")) or any(not part.startswith("moldvol ") for part in line.split(PIPE))


def printed(line: str) -> str:
    """What *line* prints on stdout and stderr together, each command reading what the one before it printed."""
    text = ""
    for part in line.split(PIPE):
        text = _printed(shlex.split(part), text)
    return text.rstrip()


def _printed(words: list[str], piped: str) -> str:
    if words[0] != "moldvol":
        raise ValueError(f"only moldvol is run in the manual, not {words[0]}")
    stream, given = io.StringIO(), io.TextIOWrapper(io.BytesIO(piped.encode()), encoding="utf-8")
    with (
        contextlib.chdir(ROOT),
        contextlib.redirect_stdout(stream),
        contextlib.redirect_stderr(stream),
        patch.object(sys, "stdin", given),
        patch.dict(os.environ, {"COLUMNS": "80"}),
    ):
        run(commands, words[1:])
    return stream.getvalue()


def rewrite(page: Path) -> None:
    """Put what the commands print today into *page*."""

    def anew(block: re.Match[str]) -> str:
        lines = [piece.partition("\n")[0] for piece in _pieces(block[1])]
        if any(map(needs_a_shell, lines)):
            return block[0]
        return "```console\n" + "".join(f"$ {line}\n{printed(line)}\n" for line in lines) + "```"

    text = page.read_text(encoding="utf-8")
    page.write_text(BLOCK.sub(anew, text), encoding="utf-8")


def _pieces(block: str) -> list[str]:
    return re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]


if __name__ == "__main__":
    named = [Path(name).resolve() for name in sys.argv[1:]]
    for one in named or PAGES:
        rewrite(one)
