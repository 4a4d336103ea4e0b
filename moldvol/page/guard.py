"""The gate before the page: foreign hosts, foreign origins and browsers without a token get no further.

Every request passes here first, websockets too. A page elsewhere that points its own name at this computer (DNS
rebinding) is told by its ``Host`` header, one that posts across origins by its ``Origin``.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs, quote

from moldvol.page.access import COOKIE, Doorkeeper, is_loopback

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

READING = ("GET", "HEAD", "OPTIONS")
POLICY_VIOLATION = 1008  # RFC 6455, 7.4.1
# Nothing is loaded from elsewhere, nobody may frame the page, and no address with a token leaks as a referrer.
# Vue compiles its templates in the browser, hence unsafe-eval; NiceGUI writes its page's script inline.
CONTENT_POLICY = (
    "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval' blob:; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; font-src 'self' data:; connect-src 'self' data: blob:; worker-src 'self' blob:; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'self'"
)
HEADERS = (
    (b"content-security-policy", CONTENT_POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
)


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a request is turned away: the status, and one sentence for whoever reads it."""

    status: int
    sentence: str


class Guard:
    """ASGI middleware around *app* that lets through only what belongs to this bench."""

    def __init__(self, app: App, *, hosts: frozenset[str], doorkeeper: Doorkeeper) -> None:
        self._app, self._hosts, self._doorkeeper = app, hosts, doorkeeper

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, exchange its token, or turn it away."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        headers = {name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]}
        refusal = self._foreign(scope, headers)
        if refusal is None and not self._known(scope, headers):
            cookie = self._cookie_for_token(scope)
            if cookie is not None:
                await _welcome(scope, cookie, send)
                return
            refusal = _NO_TOKEN
        if refusal is None:
            await self._app(scope, receive, _with_headers(send))
        else:
            await _turn_away(scope, refusal, receive, send)

    def _foreign(self, scope: Scope, headers: dict[str, str]) -> Refusal | None:
        host = headers.get("host", "").casefold()
        if host not in self._hosts:
            return Refusal(403, "This page answers only to its own address; open it as it was printed in the terminal.")
        reading = scope["type"] == "http" and scope["method"] in READING
        origin = headers.get("origin", "").casefold()
        # A browser names its origin on everything but reading; whoever does not is no page of ours.
        if not reading and origin not in (f"http://{host}", f"https://{host}"):
            return Refusal(403, "This request came from another page; use the bench's own page.")
        return None

    def _known(self, scope: Scope, headers: dict[str, str]) -> bool:
        client = scope.get("client")
        if client and is_loopback(client[0]):
            return True
        return self._doorkeeper.knows(_cookie(headers.get("cookie", "")))

    def _cookie_for_token(self, scope: Scope) -> str | None:
        # HEAD is what previews send; it must not use the token up.
        if scope["type"] != "http" or scope["method"] != "GET":
            return None
        tokens = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("token", [])
        return self._doorkeeper.admit(tokens[0]) if tokens else None


_NO_TOKEN = Refusal(
    401,
    "This bench lets in only those who have scanned a fresh code: press Enter in its terminal, or choose 'Add a phone' "
    "on its own screen, for a new one.",
)


def _cookie(header: str) -> str | None:
    try:
        morsel = SimpleCookie(header).get(COOKIE)
    except CookieError:
        return None
    return morsel.value if morsel else None


async def _welcome(scope: Scope, cookie: str, send: Send) -> None:
    """Set the cookie and open the same page without the token in its address."""
    set_cookie = f"{COOKIE}={cookie}; Path=/; HttpOnly; SameSite=Lax"
    # The path alone, and never one that a browser would take for another site's.
    place = "/" + quote(str(scope["path"]).lstrip("/\\"))
    headers = [
        (b"location", place.encode()),
        (b"set-cookie", set_cookie.encode()),
        (b"cache-control", b"no-store"),
        (b"content-length", b"0"),
    ]
    await send({"type": "http.response.start", "status": 303, "headers": [*headers, *HEADERS]})
    await send({"type": "http.response.body", "body": b""})


async def _turn_away(scope: Scope, refusal: Refusal, receive: Receive, send: Send) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": POLICY_VIOLATION})
        return
    body = f"{refusal.sentence}\n".encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        (b"cache-control", b"no-store"),
    ]
    await send({"type": "http.response.start", "status": refusal.status, "headers": [*headers, *HEADERS]})
    await send({"type": "http.response.body", "body": b"" if scope["method"] == "HEAD" else body})


def _with_headers(send: Send) -> Send:
    async def sending(message: MutableMapping[str, Any]) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = [*message.get("headers", []), *HEADERS]
        await send(message)

    return sending
