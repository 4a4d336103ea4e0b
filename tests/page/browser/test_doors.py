"""Who gets in, and what stays when the bench is closed."""

import re
import signal
from pathlib import Path

from moldvol.page.access import network_addresses
from tests.cli.command_line import moldvol
from tests.page.browser.running import PATIENCE_S, Running, running
from tests.page.browser.screen import PHONE, Screen

LINK = re.compile(r"http://([\d.]+):\d+/\?token=(\S+)")


def test_a_foreign_host_is_refused(bench: Running) -> None:
    assert bench.asked(host="evil.example")[0] == 403
    assert bench.asked(host=f"localhost:{bench.port}")[0] == 303


def test_another_page_cannot_post(bench: Running) -> None:
    place = f"{bench.job()}/file"
    assert bench.asked(place, method="POST", body=b"x", headers={"Origin": "http://evil.example"})[0] == 403
    assert bench.asked(place, method="POST", body=b"x")[0] == 403


def test_another_page_cannot_talk(bench: Running) -> None:
    handshake = {
        "Upgrade": "websocket",
        "Connection": "Upgrade",
        "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ==",
        "Sec-WebSocket-Version": "13",
        "Origin": "http://evil.example",
    }
    place = "/_nicegui_ws/socket.io/?EIO=4&transport=websocket"
    assert bench.asked(place, headers=handshake)[0] == 403


def test_a_job_that_is_not_there_is_said_so(bench: Running, window: Screen) -> None:
    window.driver.get(f"{bench.address}/job/nothing")
    assert "put away" in window.words("main")
    assert bench.asked("/job/nothing/view/1.glb")[0] == 404


def test_a_phone_needs_a_token_and_each_its_own(window: Screen, tmp_path: Path) -> None:
    if not network_addresses():  # a machine without a network can let in no phone
        assert "on no network" in moldvol("bench", "--lan", "--no-open", "--port", 0).sentence
        return
    with running(tmp_path, "--lan") as bench:
        window.wait(lambda: LINK.search(bench.said), "the code in the terminal")
        found = LINK.search(bench.said)
        assert found is not None
        address, token = found.groups()
        assert bench.asked(address=address)[0] == 401
        assert bench.asked(address=address, host="evil.example")[0] == 403
        window.open(found[0], PHONE)
        assert "token" not in window.driver.current_url
        window.tab("pour")
        window.one('[data-is="amount"]')
        assert bench.asked(f"/?token={token}", address=address)[0] == 401
        window.open(bench.address)
        window.touch("add-phone")
        window.one(".invitation svg")


def test_closing_the_bench_leaves_no_file_and_no_process(window: Screen, cube: Path, tmp_path: Path) -> None:
    with running(tmp_path) as bench:
        window.open(bench.address)
        window.drop(cube)
        window.wait_for_part("cube.stl")
        assert list(bench.files.glob("moldvol-*"))
        window.driver.get("about:blank")
        bench.process.send_signal(signal.SIGINT)
        bench.process.wait(PATIENCE_S)
    assert not list(bench.files.glob("moldvol-*"))
    assert "Traceback" not in bench.said
