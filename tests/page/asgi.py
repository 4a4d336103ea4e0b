"""An application that only says that it was reached, and requests as a server would hand them over."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from moldvol.page.access import Doorkeeper, hosts_allowed
from moldvol.page.guard import Guard

PORT = 8765
PHONE = "192.168.7.20"
OWN = "192.168.7.2"


@dataclass(frozen=True)
class Answer:
    """What came back: the status (101 for an open websocket), headers and body."""

    status: int
    headers: dict[str, str]
    body: str


async def inner(scope: Any, receive: Any, send: Any) -> None:
    """Whoever gets here has passed the gate."""
    if scope["type"] == "websocket":
        await send({"type": "websocket.accept"})
        return
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"let in"})


def gate(doorkeeper: Doorkeeper | None = None) -> Guard:
    return Guard(inner, hosts=hosts_allowed(PORT, (OWN,)), doorkeeper=doorkeeper or Doorkeeper())


def asked(
    guard: Guard,
    path: str = "/",
    *,
    method: str = "GET",
    host: str = f"127.0.0.1:{PORT}",
    peer: str = "127.0.0.1",
    query: str = "",
    kind: str = "http",
    headers: Sequence[tuple[str, str]] = (),
) -> Answer:
    """What *guard* answers to one request."""
    scope = {
        "type": kind,
        "method": method,
        "path": path,
        "query_string": query.encode(),
        "headers": [(b"host", host.encode()), *((name.encode(), value.encode()) for name, value in headers)],
        "client": (peer, 50000),
    }
    sent: list[Any] = []

    async def receive() -> Any:
        return {"type": "websocket.connect" if kind == "websocket" else "http.request", "body": b""}

    async def send(message: Any) -> None:
        sent.append(message)

    asyncio.run(guard(scope, receive, send))
    return _answer(sent)


def _answer(sent: list[Any]) -> Answer:
    first = sent[0]
    if first["type"].startswith("websocket"):
        return Answer(101 if first["type"] == "websocket.accept" else 403, {}, "")
    headers = {name.decode(): value.decode() for name, value in first["headers"]}
    return Answer(first["status"], headers, b"".join(one.get("body", b"") for one in sent[1:]).decode())
