"""The pour book: what was planned and what it really took, pour by pour, in one SQLite file of the user's own.

A pour is in the book once `PourBook.add` returns, whatever happens next: power cut, kill, full disk. Reading never
makes a file; the first pour does.
"""

from __future__ import annotations

import csv
import io
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import astuple, dataclass, fields, replace
from datetime import UTC, datetime
from pathlib import Path, PurePath
from typing import Literal, get_args

import platformdirs

from moldvol.errors import RequestError, ShelfError
from moldvol.materials.bounds import between, not_negative, positive
from moldvol.safe_files import write_text

Result = Literal["good", "short", "spoiled"]
RESULTS: tuple[Result, ...] = get_args(Result)

_OURS = 0x6D766F6C  # "mvol" in SQLite's application id: tells a pour book from anybody else's database
_WAIT_S = 10.0  # for another moldvol that is writing just now
# One entry per schema version, applied in order; never change one that has been released, add the next.
_MIGRATIONS = (
    """CREATE TABLE pours (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        poured_at TEXT NOT NULL,
        resin TEXT NOT NULL,
        mould TEXT NOT NULL,
        planned_g REAL NOT NULL CHECK (planned_g > 0),
        actual_g REAL NOT NULL CHECK (actual_g >= 0),
        net_g REAL CHECK (net_g > 0),
        room_c REAL,
        result TEXT NOT NULL CHECK (result IN ('good', 'short', 'spoiled')),
        note TEXT NOT NULL
    )""",
)
_COLUMNS = "number, poured_at, resin, mould, planned_g, actual_g, net_g, room_c, result, note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """One line of the book.

    *net_g* is what the mould holds by its mesh, *planned_g* that with the allowance of the day, *actual_g* what was
    mixed less what was left over to spend elsewhere. A pour is "short" when the mould was not full, "spoiled" when it
    teaches nothing. *number* and *poured_at* (an aware time) are filled in by the book where they are missing.
    """

    number: int | None = None
    poured_at: datetime | None = None
    resin: str
    mould: str
    planned_g: float
    actual_g: float
    net_g: float | None = None
    room_c: float | None = None
    result: Result = "good"
    note: str = ""

    def __post_init__(self) -> None:
        for what, text in (("resin", self.resin), ("mould", self.mould), ("note", self.note)):
            _check_text(what, text)
        positive(self.planned_g, "planned mass in g")
        not_negative(self.actual_g, "actual mass in g")
        if self.net_g is not None:
            positive(self.net_g, "net mass in g")
        if self.room_c is not None:
            between(self.room_c, -40, 60, "room temperature in °C")
        if self.result not in RESULTS:
            raise RequestError(f"'{self.result}' is no result of a pour; give one of {', '.join(RESULTS)}.")
        if self.poured_at is not None and self.poured_at.tzinfo is None:
            raise RequestError(
                f"{self.poured_at.isoformat()} lacks its time zone; write it like 2025-03-01T14:30+00:00."
            )


def _check_text(what: str, text: str) -> None:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:  # bytes that were no text in the terminal's encoding
        shown = text.encode("utf-8", "replace").decode()
        raise RequestError(f"The {what} '{shown}' holds bytes that are no text; type it anew.") from None


def mould_named_by(file: str) -> str:
    """The name under which the mould of a mesh file stands in the book: the file's name without folder and ending.

    >>> mould_named_by("masters/owl.v2.stl")
    'owl.v2'
    """
    return PurePath(file.replace("\\", "/")).stem


def mould_made_from(file: str) -> str:
    """The name for pouring the rubber of that mould itself, which must not be taken for casts in it.

    >>> mould_made_from("masters/owl.stl")
    'owl, the mould itself'
    """
    return f"{mould_named_by(file)}, the mould itself"


def usual_book() -> Path:
    """Where the book is kept unless another place is named: the user's data folder of this system."""
    return platformdirs.user_data_path("moldvol", appauthor=False) / "pours.sqlite3"


@dataclass(frozen=True, slots=True)
class PourBook:
    """The book in the file *path*. Every call opens the file, does one thing whole, and closes it."""

    path: Path

    def add(self, pour: Pour) -> Pour:
        """The pour as entered, with its number and time. It is on the disk when this returns.

        Raises `ShelfError` if the place cannot be written, or is no pour book.
        """
        entered = replace(pour, number=None, poured_at=(pour.poured_at or datetime.now(UTC)).replace(microsecond=0))
        self._make_folder()
        with self._open("rwc") as connection, _transaction(connection):
            self._bring_up_to_date(connection)
            cursor = connection.execute(f"INSERT INTO pours ({_COLUMNS}) VALUES (?,?,?,?,?,?,?,?,?,?)", _row(entered))  # noqa: S608
        return replace(entered, number=cursor.lastrowid)

    def pours(self, *, mould: str | None = None, resin: str | None = None) -> tuple[Pour, ...]:
        """The pours in the order entered, of one mould or resin if named (in any case); none if there is no book yet.

        Raises `ShelfError` for a file that is no pour book, or a newer one.
        """
        if not self._exists():
            return ()
        # Opened for writing where that is allowed: a kill may have left a half-made entry to take back first.
        with self._open("rw") as connection:
            if self._version(connection) == 0:
                return ()
            rows = connection.execute(f"SELECT {_COLUMNS} FROM pours ORDER BY number").fetchall()  # noqa: S608
        entered = (self._entered(row) for row in rows)
        return tuple(pour for pour in entered if _is(pour.mould, mould) and _is(pour.resin, resin))

    def remove(self, number: int) -> Pour:
        """The pour of that *number*, which is no longer in the book when this returns; the others keep their numbers.

        Raises `RequestError` if there is none of that number, `ShelfError` if the place cannot be written.
        """
        if not self._exists():
            raise self._no_pour(number)
        with self._open("rw") as connection, _transaction(connection):
            if self._version(connection) == 0:
                raise self._no_pour(number)
            row = connection.execute(f"SELECT {_COLUMNS} FROM pours WHERE number = ?", (number,)).fetchone()  # noqa: S608
            if row is None:
                raise self._no_pour(number)
            removed = self._entered(row)
            connection.execute("DELETE FROM pours WHERE number = ?", (number,))
        return removed

    def _no_pour(self, number: int) -> RequestError:
        return RequestError(
            f"There is no pour {number} in {self.path}; 'moldvol log show' lists them with their numbers.", value=number
        )

    def export_csv(self, path: Path | str, *, force: bool = False) -> int:
        """How many pours were written to *path* as CSV (RFC 4180, UTF-8, a heading first).

        Raises `RequestError` if the file exists and *force* is not set.
        """
        pours = self.pours()
        write_text(path, as_csv(pours), force=force)
        return len(pours)

    def _make_folder(self) -> None:
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise self._refusal("be kept there", error.strerror or str(error)) from error

    def _exists(self) -> bool:
        try:
            return self.path.exists()
        except OSError as error:
            raise self._refusal("be read", error.strerror or str(error)) from error

    @contextmanager
    def _open(self, mode: Literal["rw", "rwc"]) -> Iterator[sqlite3.Connection]:
        try:
            address = f"{self.path.absolute().as_uri()}?mode={mode}"
            with closing(sqlite3.connect(address, uri=True, timeout=_WAIT_S, isolation_level=None)) as connection:
                # A rollback journal rather than a write-ahead log: the book stays one file that can be copied away.
                # EXTRA also syncs the folder, so that an entry outlives a power cut and not only a kill.
                connection.execute("PRAGMA synchronous = EXTRA")
                yield connection
        except sqlite3.Error as error:
            raise self._refusal("be used", str(error)) from error
        except UnicodeDecodeError as error:  # sqlite3 telling of a damaged schema in the bytes of that schema
            raise self._refusal("be used", "its list of tables is damaged") from error

    def _entered(self, row: tuple[object, ...]) -> Pour:
        """The pour in *row*. Raises `ShelfError` for a row that no moldvol has written."""
        try:
            return _pour(row)
        except (ValueError, TypeError, AttributeError, OverflowError, RequestError) as error:
            raise ShelfError(
                f"The pour book {self.path} has a damaged entry, number {row[0]}; bring back a copy of it, or name "
                "another file.",
                file=str(self.path),
            ) from error

    def _refusal(self, what: str, reason: str) -> ShelfError:
        locked = "locked" in reason
        remedy = "close the program that holds it, and try again" if locked else "name another file for it"
        return ShelfError(
            f"The pour book {self.path} cannot {what} ({reason.casefold()}); {remedy}.", file=str(self.path)
        )

    def _version(self, connection: sqlite3.Connection) -> int:
        """The schema version, 0 for an empty file. Raises `ShelfError` for somebody else's database or a newer book."""
        owner, version, tables = (
            connection.execute(query).fetchone()[0]
            for query in ("PRAGMA application_id", "PRAGMA user_version", "SELECT count(*) FROM sqlite_schema")
        )
        if tables and owner != _OURS:
            raise ShelfError(f"{self.path} is a database, but no pour book; name another file.", file=str(self.path))
        if version > len(_MIGRATIONS):
            raise ShelfError(
                f"The pour book {self.path} was written by a newer moldvol (version {version} of its layout); "
                "install that, or name another file.",
                file=str(self.path),
            )
        return int(version)

    def _bring_up_to_date(self, connection: sqlite3.Connection) -> None:
        version = self._version(connection)
        for number, migration in enumerate(_MIGRATIONS[version:], start=version + 1):
            connection.execute(migration)
            connection.execute(f"PRAGMA application_id = {_OURS}")
            connection.execute(f"PRAGMA user_version = {number}")


def as_csv(pours: tuple[Pour, ...]) -> str:
    """The pours as CSV text with a heading; times as ISO 8601, what is unknown empty.

    >>> as_csv(()).strip()
    'number,poured_at,resin,mould,planned_g,actual_g,net_g,room_c,result,note'
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(field.name for field in fields(Pour))
    writer.writerows(_row(pour) for pour in pours)
    return text.getvalue()


@contextmanager
def _transaction(connection: sqlite3.Connection) -> Iterator[None]:
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:  # an interrupt too must leave the book as it was
        if connection.in_transaction:  # a full disk has rolled back already
            connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")


def _row(pour: Pour) -> tuple[object, ...]:
    number, poured_at, *rest = astuple(pour)
    return (number, poured_at.astimezone(UTC).isoformat() if poured_at else None, *rest)


def _pour(row: tuple[object, ...]) -> Pour:
    values = dict(zip((field.name for field in fields(Pour)), row, strict=True))
    return Pour(**{**values, "poured_at": datetime.fromisoformat(str(values["poured_at"]))})  # type: ignore[arg-type]


def _is(name: str, wanted: str | None) -> bool:
    return wanted is None or name.casefold() == wanted.casefold()
