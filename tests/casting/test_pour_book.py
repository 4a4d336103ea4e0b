"""The pour book: what goes in comes out, whatever happens between; and one sentence for a book that cannot be used."""

from __future__ import annotations

import csv
import os
import random
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import platformdirs
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from moldvol.casting.pour_book import RESULTS, Pour, PourBook, usual_book
from moldvol.errors import RequestError, ShelfError

KILLS = 20
WRITE_ON = """
import sys
from pathlib import Path
from moldvol.casting.pour_book import Pour, PourBook
book = PourBook(Path(sys.argv[1]))
while True:
    pour = book.add(Pour(resin="fast", mould="mask", planned_g=100, actual_g=104, note="x" * 5000))
    print(pour.number, flush=True)
"""
REMOVE_ON = """
import sys
from pathlib import Path
from moldvol.casting.pour_book import PourBook
book = PourBook(Path(sys.argv[1]))
for pour in book.pours():
    print(book.remove(pour.number).number, flush=True)
"""
DIE_INSIDE = """
import os, signal, sqlite3, sys
connection = sqlite3.connect(sys.argv[1], isolation_level=None)
connection.execute("PRAGMA cache_size = 1")  # so that half of the change is in the file when the kill comes
connection.execute("BEGIN IMMEDIATE")
connection.execute("UPDATE pours SET actual_g = 999, note = hex(zeroblob(20000))")
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.fixture
def book(tmp_path: Path) -> PourBook:
    return PourBook(tmp_path / "data" / "pours.sqlite3")


def a_pour(**changes: object) -> Pour:
    return Pour(**{"resin": "fast", "mould": "mask", "planned_g": 108.0, "actual_g": 104.5, **changes})


names = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
masses = st.floats(0.001, 1e6)
pours = st.builds(
    Pour,
    resin=names, mould=names, planned_g=masses, actual_g=masses, net_g=st.none() | masses,
    room_c=st.none() | st.floats(-40, 60), result=st.sampled_from(RESULTS), note=names,
    poured_at=st.datetimes(min_value=datetime(1970, 1, 2), timezones=st.just(UTC)).map(
        lambda moment: moment.replace(microsecond=0)
    ),
)  # fmt: skip


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=20, deadline=None)
@given(pour=pours)
def test_what_goes_in_comes_out(book: PourBook, pour: Pour) -> None:
    entered = book.add(pour)
    assert book.pours()[-1] == entered
    assert entered.number == len(book.pours())


def test_time_is_filled_in_and_kept_across_zones(book: PourBook) -> None:
    before = datetime.now(UTC) - timedelta(seconds=1)
    assert before <= book.add(a_pour()).poured_at <= datetime.now(UTC)
    moment = datetime(2025, 3, 1, 14, 30, tzinfo=timezone(timedelta(hours=2)))
    book.add(a_pour(poured_at=moment))
    assert book.pours()[-1].poured_at == moment


def test_reading_makes_no_file(book: PourBook) -> None:
    assert book.pours() == ()
    assert not book.path.parent.exists()


def test_one_mould_or_one_resin(book: PourBook) -> None:
    for resin, mould in (("fast", "mask"), ("clear", "mask"), ("fast", "Hand")):
        book.add(a_pour(resin=resin, mould=mould))
    assert [pour.resin for pour in book.pours(mould="MASK")] == ["fast", "clear"]
    assert [pour.mould for pour in book.pours(resin="fast")] == ["mask", "Hand"]
    assert len(book.pours(mould="hand", resin="clear")) == 0


def test_csv_is_read_back_by_others(book: PourBook, tmp_path: Path) -> None:
    book.add(a_pour(note='a "good" one,\nwith a line break', room_c=21.5))
    book.add(a_pour(net_g=100.0, result="short"))
    assert book.export_csv(tmp_path / "pours.csv") == 2
    with (tmp_path / "pours.csv").open(encoding="utf-8", newline="") as stream:
        first, second = csv.DictReader(stream)
    assert (first["note"], first["room_c"], first["net_g"]) == ('a "good" one,\nwith a line break', "21.5", "")
    assert (second["number"], second["result"], float(second["net_g"])) == ("2", "short", 100)
    with pytest.raises(RequestError, match="exists already"):
        book.export_csv(tmp_path / "pours.csv")
    assert book.export_csv(tmp_path / "pours.csv", force=True) == 2


def test_two_benches_write_at_once(book: PourBook) -> None:
    def write() -> None:
        for _ in range(10):
            book.add(a_pour())

    benches = [threading.Thread(target=write) for _ in range(3)]
    for bench in benches:
        bench.start()
    for bench in benches:
        bench.join()
    assert [pour.number for pour in book.pours()] == list(range(1, 31))


def run_child(program: str, book: PourBook, **options: object) -> subprocess.Popen[str]:
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    return subprocess.Popen([sys.executable, "-c", program, str(book.path)], env=environment, text=True, **options)


def test_a_kill_at_any_moment_loses_nothing_that_was_entered(book: PourBook) -> None:
    moments = random.Random(5)
    stored = 0
    for _ in range(KILLS):
        child = run_child(WRITE_ON, book, stdout=subprocess.PIPE)
        first = child.stdout.readline()
        time.sleep(moments.uniform(0, 0.03))
        child.send_signal(signal.SIGKILL)
        acknowledged = int([first, *child.stdout.read().splitlines()][-1])
        child.stdout.close()
        child.wait()
        found = book.pours()
        # At most the one entry that was made but not yet told of.
        assert acknowledged <= len(found) <= acknowledged + 1
        assert len(found) > stored
        assert {pour.note for pour in found} == {"x" * 5000}
        stored = len(found)
    with sqlite3.connect(book.path) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    connection.close()


def test_a_kill_while_pours_are_taken_back_loses_no_other(book: PourBook) -> None:
    for number in range(60):
        book.add(a_pour(note="x" * 5000, actual_g=100 + number))
    moments = random.Random(6)
    for _ in range(6):
        before = [pour.number for pour in book.pours()]
        child = run_child(REMOVE_ON, book, stdout=subprocess.PIPE)
        first = child.stdout.readline()
        time.sleep(moments.uniform(0, 0.01))
        child.send_signal(signal.SIGKILL)
        told = [int(line) for line in [first, *child.stdout.read().splitlines()] if line]
        child.stdout.close()
        child.wait()
        after = book.pours()
        gone = len(before) - len(after)
        # At most the one that was taken back but not yet told of.
        assert len(told) <= gone <= len(told) + 1
        assert [pour.number for pour in after] == before[gone:]
        assert all(pour.actual_g == 99 + pour.number for pour in after)
    with sqlite3.connect(book.path) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    connection.close()


def test_a_number_is_never_given_twice(book: PourBook) -> None:
    book.add(a_pour())
    last = book.add(a_pour())
    assert book.remove(last.number) == last
    assert book.add(a_pour()).number == 3
    with pytest.raises(RequestError, match=r"There is no pour 2 in "):
        book.remove(2)


def test_a_kill_in_the_middle_of_a_change_takes_it_back(book: PourBook) -> None:
    for _ in range(30):
        book.add(a_pour())
    before = book.pours()
    untouched = book.path.read_bytes()
    assert run_child(DIE_INSIDE, book).wait() == -signal.SIGKILL
    assert book.path.read_bytes() != untouched  # the change had reached the file
    assert book.pours() == before
    assert book.add(a_pour()).number == 31


def test_no_book_where_a_folder_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    lost = PourBook(tmp_path / "taken" / "pours.sqlite3")
    with pytest.raises(ShelfError) as refusal:
        lost.add(a_pour())
    assert str(refusal.value).startswith(f"The pour book {lost.path} cannot be kept there (")
    assert str(refusal.value).endswith("); name another file for it.")
    assert refusal.value.exit_status == 1


def test_a_book_that_may_only_be_read_is_read_but_not_written(book: PourBook, monkeypatch: pytest.MonkeyPatch) -> None:
    book.add(a_pour())
    connect = sqlite3.connect
    monkeypatch.setattr(
        sqlite3, "connect", lambda address, **rest: connect(address[: address.index("?")] + "?mode=ro", **rest)
    )
    assert len(book.pours()) == 1
    with pytest.raises(ShelfError) as refusal:
        book.add(a_pour())
    assert str(refusal.value) == (
        f"The pour book {book.path} cannot be used (attempt to write a readonly database); name another file for it."
    )


def test_a_book_held_by_another_program_is_one_sentence(book: PourBook, monkeypatch: pytest.MonkeyPatch) -> None:
    book.add(a_pour())
    monkeypatch.setattr("moldvol.casting.pour_book._WAIT_S", 0.01)
    holder = sqlite3.connect(book.path, isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    with pytest.raises(ShelfError) as refusal:
        book.add(a_pour())
    holder.close()
    assert str(refusal.value) == (
        f"The pour book {book.path} cannot be used (database is locked); "
        "close the program that holds it, and try again."
    )


def test_an_interrupt_leaves_the_book_as_it_was(book: PourBook, monkeypatch: pytest.MonkeyPatch) -> None:
    book.add(a_pour())

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(PourBook, "_bring_up_to_date", interrupted)
    with pytest.raises(KeyboardInterrupt):
        book.add(a_pour())
    assert len(book.pours()) == 1


@pytest.mark.parametrize("act", [PourBook.pours, lambda book: book.add(a_pour())], ids=["read", "write"])
def test_what_is_no_pour_book_is_left_alone(tmp_path: Path, act) -> None:
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear theatre, " * 200, encoding="utf-8")
    with pytest.raises(ShelfError, match=r"cannot be used \(file is not a database\); name another file"):
        act(PourBook(letter))
    other = tmp_path / "other.sqlite3"
    with sqlite3.connect(other) as connection:
        connection.execute("CREATE TABLE pours (x)")
    connection.close()
    with pytest.raises(ShelfError) as refusal:
        act(PourBook(other))
    assert str(refusal.value) == f"{other} is a database, but no pour book; name another file."


def test_a_newer_book_is_left_alone(book: PourBook) -> None:
    book.add(a_pour())
    with sqlite3.connect(book.path) as connection:
        connection.execute("PRAGMA user_version = 99")
    connection.close()
    with pytest.raises(ShelfError) as refusal:
        book.pours()
    assert str(refusal.value) == (
        f"The pour book {book.path} was written by a newer moldvol (version 99 of its layout); "
        "install that, or name another file."
    )


def test_an_empty_file_becomes_a_book(tmp_path: Path) -> None:
    (tmp_path / "new").touch()
    assert PourBook(tmp_path / "new").pours() == ()
    assert PourBook(tmp_path / "new").add(a_pour()).number == 1


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"planned_g": 0}, "The planned mass in g is 0; give a number above 0."),
        ({"actual_g": -1}, "The actual mass in g is -1; give 0 or more."),
        ({"net_g": 0}, "The net mass in g is 0; give a number above 0."),
        ({"room_c": 293}, "The room temperature in °C is 293; give a number from -40 to 60."),
        ({"note": "caf\udce9"}, "The note 'caf?' holds bytes that are no text; type it anew."),
        ({"result": "fine"}, "'fine' is no result of a pour; give one of good, short, spoiled."),
        (
            {"poured_at": datetime(2025, 3, 1, 14, 30)},
            "2025-03-01T14:30:00 lacks its time zone; write it like 2025-03-01T14:30+00:00.",
        ),
    ],
)
def test_an_impossible_pour_is_refused(changes: dict[str, object], sentence: str) -> None:
    with pytest.raises(RequestError) as refusal:
        a_pour(**changes)
    assert str(refusal.value) == sentence


def test_the_usual_book_is_in_the_users_data_folder() -> None:
    assert usual_book().parent == Path(platformdirs.user_data_dir("moldvol", appauthor=False))
