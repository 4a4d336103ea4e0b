"""``python -m tests.benchmarks [NAME …]``: one table with ratios against general-purpose libraries in the same run.

With ``--page`` the table is written to ``docs/benchmarks.md``, with the machine it was measured on.
"""

from __future__ import annotations

import sys
from importlib import import_module
from pathlib import Path

from tests.benchmarks.machine import machine
from tests.benchmarks.measuring import Line, table

NAMES = ("reading", "hollow", "field", "levels", "heat", "accuracy")
PAGE = Path(__file__).parents[2] / "docs" / "benchmarks.md"
INTRODUCTION = Path(__file__).with_name("page.md")


def main(names: list[str]) -> None:
    """Print the tables asked for; with ``--page`` write them."""
    on_page = "--page" in names
    tables = [told(name) for name in NAMES if name in names or not set(names) - {"--page"}]
    if on_page:
        text = INTRODUCTION.read_text(encoding="utf-8").format(machine=machine(), tables="\n\n".join(tables))
        PAGE.write_text(text, encoding="utf-8")
    else:
        print("\n\n".join(tables))


def told(name: str) -> str:
    """The table of one benchmark under a heading, with what its module says of it."""
    module = import_module(f"tests.benchmarks.{name}")
    lines: list[Line] = module.run()
    return f"## {name.capitalize()}\n\n{table(lines)}"


if __name__ == "__main__":
    main(sys.argv[1:])
