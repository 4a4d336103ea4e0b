"""The transcripts in the manual, run: ``python -m tests.manual`` writes them anew, tests/test_manual.py compares.

A transcript is a fenced block marked ``console``; a line ``$ moldvol …`` is followed by what it prints. Commands
are typed in the folder of the project, with eighty columns and no colour. Several commands may stand in one block.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
from dataclasses import dataclass
from pathlib import Path

from moldvol.cli import commands
from moldvol.cli.running import run

ROOT = Path(__file__).parent.parent
# These two write files and are played by tests of their own: tests/test_bench_manual.py and tests/cli/test_batch.py.
PLAYED_ELSEWHERE = {"pour-book.md", "batch.md"}
PAGES = [ROOT / "README.md", *sorted(p for p in (ROOT / "docs").glob("*.md") if p.name not in PLAYED_ELSEWHERE)]
SHELL = set("|><&")  # lines for a shell, with pipes and files, are shown but not run here
BLOCK = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class Transcript:
    """One command and what it prints."""

    page: Path
    command: str
    output: str


def transcripts() -> list[Transcript]:
    """Every command of every page, in order."""
    found = []
    for page in PAGES:
        for block in BLOCK.findall(page.read_text(encoding="utf-8")):
            for piece in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
                command, _, output = piece.partition("\n")
                if set(command) & SHELL:
                    continue
                found.append(Transcript(page, command, output.rstrip()))
    return found


def printed(command: str) -> str:
    """What *command* prints on stdout and stderr together, trailing blanks cut."""
    words = shlex.split(command)
    if words[0] != "moldvol":
        raise ValueError(f"only moldvol is run in the manual, not {words[0]}")
    stream = io.StringIO()
    with contextlib.chdir(ROOT), contextlib.redirect_stdout(stream), contextlib.redirect_stderr(stream):
        os.environ["COLUMNS"] = "80"
        run(commands, words[1:])
    return stream.getvalue().rstrip()


def rewrite(page: Path) -> None:
    """Put what the commands print today into *page*."""

    def anew(block: re.Match[str]) -> str:
        pieces = re.split(r"^\$ ", block[1], flags=re.MULTILINE)[1:]
        lines = [piece.partition("\n")[0] for piece in pieces]
        if any(set(line) & SHELL for line in lines):
            return block[0]
        return "```console\n" + "".join(f"$ {line}\n{printed(line)}\n" for line in lines) + "```"

    text = page.read_text(encoding="utf-8")
    page.write_text(BLOCK.sub(anew, text), encoding="utf-8")


if __name__ == "__main__":
    for one in PAGES:
        rewrite(one)
