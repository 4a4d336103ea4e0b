"""``python -m tests.benchmarks [NAME …]``: one table with ratios against general-purpose libraries in the same run."""

from __future__ import annotations

import sys
from importlib import import_module

from tests.benchmarks.measuring import Line, table

NAMES = ("reading", "field", "levels", "heat")


def main(names: list[str]) -> None:
    lines: list[Line] = []
    for name in names or NAMES:
        lines += import_module(f"tests.benchmarks.{name}").run()
    print(table(lines))


if __name__ == "__main__":
    main(sys.argv[1:])
