"""Opening the bench in the morning: a free port, the address in the terminal, the code for phones, the browser."""

from __future__ import annotations

import io
import socket
import sys
import threading
import webbrowser
from functools import partial
from pathlib import Path

import click
import segno

from moldvol.casting.pour_book import PourBook
from moldvol.errors import RequestError
from moldvol.materials.shelf import Shelf
from moldvol.page.access import Doorkeeper, hosts_allowed, network_addresses
from moldvol.page.app import Bench, serve
from moldvol.page.hand import ProcessHand
from moldvol.page.jobs import Jobs
from moldvol.page.uploads import MB

LOOPBACK, EVERYWHERE = "127.0.0.1", "0.0.0.0"  # noqa: S104  asked for by --lan, and guarded by host names and tokens


def open_bench(
    *, port: int, lan: bool, open_browser: bool, limit_mb: int, book: PourBook, shelf: Shelf, shelves: tuple[Path, ...]
) -> int:
    """Serve the page until it is stopped; the exit status.

    Raises `RequestError` for a port that is taken, or a network that is not there.
    """
    host = EVERYWHERE if lan else LOOPBACK
    port = _free_port(host, port)
    addresses = network_addresses() if lan else ()
    if lan and not addresses:
        raise RequestError("This computer is on no network; connect it to the workshop's, or leave out --lan.")
    doorkeeper = Doorkeeper()
    invitation = Invitation(doorkeeper, f"http://{addresses[0]}:{port}") if lan else None
    bench = Bench(
        jobs=Jobs(new_hand=partial(ProcessHand, shelves)),
        shelf=shelf,
        book=book,
        hosts=hosts_allowed(port, addresses),
        doorkeeper=doorkeeper,
        limit_bytes=limit_mb * MB,
        invitation=invitation.svg if invitation else None,
    )

    def started() -> None:
        own = f"http://{LOOPBACK}:{port}/"
        click.echo(f"The bench is open at {own}\nStop it with Ctrl-C.")
        if invitation is not None:
            invitation.stand_at_the_door()
        if open_browser:
            threading.Thread(target=webbrowser.open, args=(own,), daemon=True).start()

    serve(bench, host=host, port=port, started=started)
    return 0


class Invitation:
    """Codes to scan, each with a fresh token that opens the door once."""

    def __init__(self, doorkeeper: Doorkeeper, address: str) -> None:
        self._doorkeeper, self._address = doorkeeper, address

    def link(self, place: str = "/") -> str:
        """An address with a fresh token in it."""
        return f"{self._address}{place}?token={self._doorkeeper.token()}"

    def svg(self, place: str = "/") -> str:
        """The code as a picture for the page."""
        stream = io.BytesIO()
        segno.make(self.link(place), error="m").save(stream, kind="svg", xmldecl=False, scale=6, border=3)
        return stream.getvalue().decode("utf-8")

    def show(self) -> None:
        """The code in the terminal."""
        link = self.link()
        drawn = io.StringIO()
        segno.make(link, error="l").terminal(out=drawn, compact=True)
        click.echo(f"\n{drawn.getvalue()}\n{link}")
        click.echo(
            "Scan it with one phone within ten minutes; press Enter for the next phone.\n"
            "Only on a network you trust: what passes over it is not encrypted."
        )

    def stand_at_the_door(self) -> None:
        """Show a code now, and another whenever somebody presses Enter in the terminal."""
        self.show()
        if sys.stdin is not None and sys.stdin.isatty():
            threading.Thread(target=self._wait_for_enter, daemon=True).start()

    def _wait_for_enter(self) -> None:
        for _ in sys.stdin:
            self.show()


def _free_port(host: str, port: int) -> int:
    """*port*, or a free one for 0."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((host, port))
        except OSError as error:
            raise RequestError(
                f"Port {port} cannot be used ({(error.strerror or str(error)).lower()}); give another with --port, or "
                "close what holds it."
            ) from error
        return int(trial.getsockname()[1])
