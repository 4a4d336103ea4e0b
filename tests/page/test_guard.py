import pytest

from moldvol.page.access import COOKIE, Doorkeeper
from tests.page.asgi import OWN, PHONE, PORT, asked, gate

ORIGIN = f"http://127.0.0.1:{PORT}"


def test_this_computer_is_let_in() -> None:
    answer = asked(gate())
    assert (answer.status, answer.body) == (200, "let in")


@pytest.mark.parametrize(
    "host", ["evil.example", f"evil.example:{PORT}", "127.0.0.1:1", "127.0.0.1", "", f"{OWN}.evil:1"]
)
def test_a_foreign_host_is_turned_away(host: str) -> None:
    answer = asked(gate(), host=host)
    assert answer.status == 403
    assert "own address" in answer.body


def test_a_foreign_host_opens_no_websocket() -> None:
    refused = asked(gate(), kind="websocket", host="evil.example", headers=[("origin", "http://evil.example")])
    assert refused.status == 403


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", f"http://localhost:{PORT}", f"{ORIGIN}.evil.example"]
)
@pytest.mark.parametrize("kind", ["http", "websocket"])
def test_a_foreign_origin_is_turned_away(origin: str, kind: str) -> None:
    assert asked(gate(), kind=kind, method="POST", headers=[("origin", origin)]).status == 403


@pytest.mark.parametrize("kind", ["http", "websocket"])
def test_who_names_no_origin_may_only_read(kind: str) -> None:
    assert asked(gate(), kind=kind, method="POST").status == 403


@pytest.mark.parametrize(("kind", "status"), [("http", 200), ("websocket", 101)])
def test_the_page_itself_may_post_and_talk(kind: str, status: int) -> None:
    assert asked(gate(), kind=kind, method="POST", headers=[("origin", ORIGIN)]).status == status


def test_a_phone_without_a_token_is_told_how_to_get_one() -> None:
    answer = asked(gate(), host=f"{OWN}:{PORT}", peer=PHONE)
    assert answer.status == 401
    assert "press Enter" in answer.body


def test_a_token_becomes_a_cookie_and_leaves_the_address() -> None:
    doorkeeper = Doorkeeper()
    guard = gate(doorkeeper)
    answer = asked(guard, "/job/abc", host=f"{OWN}:{PORT}", peer=PHONE, query=f"token={doorkeeper.token()}")
    assert (answer.status, answer.headers["location"]) == (303, "/job/abc")
    cookie = answer.headers["set-cookie"].split(";")[0]
    assert {"HttpOnly", "SameSite=Lax"} <= {part.strip() for part in answer.headers["set-cookie"].split(";")}
    assert asked(guard, host=f"{OWN}:{PORT}", peer=PHONE, headers=[("cookie", cookie)]).status == 200
    talking = [("cookie", cookie), ("origin", f"http://{OWN}:{PORT}")]
    assert asked(guard, kind="websocket", host=f"{OWN}:{PORT}", peer=PHONE, headers=talking).status == 101


def test_a_second_phone_needs_a_second_token() -> None:
    doorkeeper = Doorkeeper()
    guard, query = gate(doorkeeper), f"token={doorkeeper.token()}"
    assert asked(guard, host=f"{OWN}:{PORT}", peer=PHONE, query=query).status == 303
    assert asked(guard, host=f"{OWN}:{PORT}", peer="192.168.7.21", query=query).status == 401


def test_a_preview_does_not_use_the_token_up() -> None:
    doorkeeper = Doorkeeper()
    guard, query = gate(doorkeeper), f"token={doorkeeper.token()}"
    assert asked(guard, method="HEAD", host=f"{OWN}:{PORT}", peer=PHONE, query=query).status == 401
    assert asked(guard, host=f"{OWN}:{PORT}", peer=PHONE, query=query).status == 303


@pytest.mark.parametrize("path", ["//evil.example/", "/\\evil.example", "///evil.example"])
def test_a_token_sends_nobody_to_another_site(path: str) -> None:
    doorkeeper = Doorkeeper()
    answer = asked(gate(doorkeeper), path, host=f"{OWN}:{PORT}", peer=PHONE, query=f"token={doorkeeper.token()}")
    assert answer.headers["location"].startswith("/")
    assert not answer.headers["location"].startswith(("//", "/\\"))


def test_no_line_break_gets_into_a_header() -> None:
    doorkeeper = Doorkeeper()
    query = f"token={doorkeeper.token()}"
    answer = asked(gate(doorkeeper), "/x\r\nset-cookie: a=b", host=f"{OWN}:{PORT}", peer=PHONE, query=query)
    assert "\r" not in answer.headers["location"]


@pytest.mark.parametrize("cookie", ["moldvol_bench=guess", "moldvol_bench=", "garbage", 'a="\\', COOKIE])
def test_an_unknown_cookie_is_worth_nothing(cookie: str) -> None:
    assert asked(gate(), host=f"{OWN}:{PORT}", peer=PHONE, headers=[("cookie", cookie)]).status == 401


def test_a_phone_under_a_loopback_name_is_still_a_phone() -> None:
    assert asked(gate(), peer=PHONE).status == 401


def test_every_page_forbids_what_is_not_its_own() -> None:
    headers = asked(gate()).headers
    assert "default-src 'self'" in headers["content-security-policy"]
    assert "frame-ancestors 'none'" in headers["content-security-policy"]
    assert headers["referrer-policy"] == "no-referrer"
