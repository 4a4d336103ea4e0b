import socket
from unittest.mock import patch

import pytest

from moldvol.page.access import Doorkeeper
from moldvol.page.opening import Invitation
from tests.cli.command_line import moldvol


def test_without_the_extra_it_says_in_one_sentence_how_to_install_it() -> None:
    with patch("moldvol.cli.bench.find_spec", lambda name: None):
        assert "pip install '.[page]'" in moldvol("bench").sentence


def test_a_port_that_is_taken_is_named() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert f"Port {port} cannot be used" in moldvol("bench", "--no-open", "--port", port).sentence


def test_without_a_network_lan_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("moldvol.page.opening.network_addresses", lambda: ())
    assert "on no network" in moldvol("bench", "--lan", "--no-open", "--port", 0).sentence


def test_every_invitation_is_a_fresh_one(capsys: pytest.CaptureFixture[str]) -> None:
    doorkeeper = Doorkeeper()
    invitation = Invitation(doorkeeper, "http://192.168.7.2:8765")
    first, second = invitation.link("/job/abc"), invitation.link()
    assert first.startswith("http://192.168.7.2:8765/job/abc?token=")
    assert first.split("=")[1] != second.split("=")[1]
    assert doorkeeper.admit(first.split("=")[1])
    invitation.show()
    shown = capsys.readouterr().out
    assert "press Enter for the next phone" in shown
    assert "not encrypted" in shown
    assert "<svg" in invitation.svg()
