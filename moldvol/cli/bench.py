"""``moldvol bench``: the page, on this computer or on the workshop's network."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import click

from moldvol.cli.bench_options import book_at, book_option
from moldvol.cli.options import shelf_option
from moldvol.errors import RequestError
from moldvol.materials.shelf import load_shelf

NEEDED = ("nicegui", "segno")
USUAL_PORT = 8765


@click.command("bench")
@click.option("--port", type=click.IntRange(0, 65535), default=USUAL_PORT, help="Where it listens; 0 finds a free one.")
@click.option("--lan", is_flag=True, help="Let phones on the workshop's network in, each with a code to scan.")
@click.option("--no-open", is_flag=True, help="Do not open the browser.")
@click.option(
    "--largest", "limit_mb", type=click.IntRange(min=1), default=400, help="Largest file the page takes, in MB."
)
@book_option
@shelf_option
def command(port: int, lan: bool, no_open: bool, limit_mb: int, book: Path | None, shelves: tuple[Path, ...]) -> int:
    """Open a local page: drop a mesh, see it, turn the knobs, weigh out, pour.

    It listens to this computer alone unless --lan is given; nothing leaves the workshop either way.
    """
    missing = [name for name in NEEDED if find_spec(name) is None]
    if missing:
        raise RequestError(
            f"The page needs {' and '.join(missing)}; install it in moldvol's folder with: pip install '.[page]'.",
            code="not-installed",
        )
    from moldvol.page.opening import open_bench

    shelf = load_shelf(shelves)
    return open_bench(
        port=port,
        lan=lan,
        open_browser=not no_open,
        limit_mb=limit_mb,
        book=book_at(book),
        shelf=shelf,
        shelves=shelves,
    )
