import pytest

from moldvol.page.access import TOKEN_LIFE_S, Doorkeeper, hosts_allowed, is_loopback, network_addresses


class Clock:
    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


def test_a_token_opens_the_door_once() -> None:
    doorkeeper = Doorkeeper()
    token = doorkeeper.token()
    cookie = doorkeeper.admit(token)
    assert doorkeeper.knows(cookie)
    assert doorkeeper.admit(token) is None


def test_a_token_grows_old() -> None:
    clock = Clock()
    doorkeeper = Doorkeeper(clock)
    token = doorkeeper.token()
    clock.now += TOKEN_LIFE_S
    assert doorkeeper.admit(token) is None


def test_an_old_token_does_not_shorten_a_fresh_one() -> None:
    clock = Clock()
    doorkeeper = Doorkeeper(clock)
    doorkeeper.token()
    clock.now += TOKEN_LIFE_S - 1
    fresh = doorkeeper.token()
    clock.now += 2
    assert doorkeeper.admit(fresh) is not None


@pytest.mark.parametrize("guess", ["", "letmein", "0"])
def test_a_guess_is_not_admitted(guess: str) -> None:
    doorkeeper = Doorkeeper()
    doorkeeper.token()
    assert doorkeeper.admit(guess) is None
    assert not doorkeeper.knows(guess)


def test_nobody_is_known_without_a_cookie() -> None:
    assert not Doorkeeper().knows(None)


def test_tokens_and_cookies_are_long_and_never_the_same() -> None:
    doorkeeper = Doorkeeper()
    tokens = {doorkeeper.token() for _ in range(50)}
    cookies = {doorkeeper.admit(token) for token in tokens}
    assert len(tokens) == len(cookies) == 50
    assert min(map(len, tokens)) >= 22  # 128 bits in base 64


def test_the_usual_port_may_be_left_out() -> None:
    assert "localhost" in hosts_allowed(80)
    assert "localhost" not in hosts_allowed(8080)


def test_the_network_name_is_allowed_beside_loopback() -> None:
    assert "192.168.1.5:8080" in hosts_allowed(8080, ("192.168.1.5",))


@pytest.mark.parametrize(
    ("address", "own"),
    [("127.0.0.1", True), ("127.9.9.9", True), ("::1", True), ("::ffff:127.0.0.1", True), ("10.0.0.1", False)],
)
def test_loopback_in_all_its_forms(address: str, own: bool) -> None:
    assert is_loopback(address) is own


def test_network_addresses_never_name_loopback() -> None:
    assert not any(is_loopback(address) for address in network_addresses())
