"""A bench running as its users run it: in a process of its own, on a free port, with its files in a folder of ours."""

from __future__ import annotations

import http.client
import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

LIMIT_MB = 3
PATIENCE_S = 240.0
OPEN_AT = re.compile(r"open at http://127\.0\.0\.1:(\d+)/")


@dataclass(frozen=True)
class Running:
    """A running bench: its port, its pour book, and the folder in which its jobs keep their files."""

    process: subprocess.Popen[str]
    port: int
    book: Path
    files: Path
    log: Path

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def said(self) -> str:
        """Everything it has printed so far."""
        return self.log.read_text(encoding="utf-8")

    def uploads(self) -> list[Path]:
        """The files that lie in the folders of jobs."""
        return [path for folder in self.files.glob("moldvol-*") for path in folder.iterdir()]

    def asked(
        self,
        path: str = "/",
        *,
        method: str = "GET",
        host: str | None = None,
        body: bytes | Iterator[bytes] | None = None,
        headers: Mapping[str, str] | None = None,
        address: str = "127.0.0.1",
    ) -> tuple[int, dict[str, str], str]:
        """Status, headers and body of one request, made without a browser's manners."""
        connection = http.client.HTTPConnection(address, self.port, timeout=PATIENCE_S)
        try:
            named = {"Host": host or f"{address}:{self.port}", **(headers or {})}
            connection.request(method, path, body=body, headers=named)
            answer = connection.getresponse()
            found = {name.lower(): value for name, value in answer.getheaders()}
            return answer.status, found, answer.read().decode("utf-8", "replace")
        finally:
            connection.close()

    def job(self) -> str:
        """The path of a new job."""
        return self.asked()[1]["location"]


@contextmanager
def running(folder: Path, *options: str) -> Iterator[Running]:
    """A bench that runs for as long as the block, then is told to stop."""
    files, log, book = folder / "files", folder / "log.txt", folder / "book.sqlite3"
    files.mkdir()
    # The page's library behaves differently where it sees itself under test.
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST")}
    command = [sys.executable, "-u", "-m", "moldvol", "bench", "--no-open", "--port", "0", "--book", str(book)]
    with log.open("w", encoding="utf-8") as output:
        process = subprocess.Popen(
            [*command, "--largest", str(LIMIT_MB), *options],
            stdout=output,
            stderr=subprocess.STDOUT,
            stdin=subprocess.DEVNULL,
            text=True,
            env={**environment, "TMPDIR": str(files), "NO_COLOR": "1"},
            cwd=Path(__file__).parents[3],
        )
    try:
        yield Running(process, _port(process, log), book, files, log)
    finally:
        process.terminate()
        process.wait(PATIENCE_S)


def _port(process: subprocess.Popen[str], log: Path) -> int:
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        found = OPEN_AT.search(log.read_text(encoding="utf-8"))
        if found:
            return int(found[1])
        if process.poll() is not None:
            break
        time.sleep(0.1)
    raise AssertionError(f"The bench did not open: {log.read_text(encoding='utf-8')}")
