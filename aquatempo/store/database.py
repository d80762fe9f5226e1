"""SQLite files of ours: opened, brought up to date, told from others, and looked over."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from aquatempo.errors import InputError, OutputError
from aquatempo.files import one_at_a_time, remove_leftovers, replacing

__all__ = ["Schema", "copy_database", "faults_of", "open_database", "recomputable", "transaction"]

WAIT_S = 30.0  # for another process that is writing

# What SQLite says when the file is sound but the world around it is not. Anything else that
# our own statements meet means that the file is not as we left it.
_WORLD = frozenset(
    {
        *(sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_READONLY),
        *(sqlite3.SQLITE_IOERR, sqlite3.SQLITE_FULL, sqlite3.SQLITE_CANTOPEN),
        *(sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH, sqlite3.SQLITE_NOMEM),
        *(sqlite3.SQLITE_PROTOCOL, sqlite3.SQLITE_INTERRUPT, sqlite3.SQLITE_TOOBIG),
    }
)


@dataclass(frozen=True, slots=True)
class Schema:
    """What a database is, and how it came to be as it is now.

    application_id tells our files from those of others (SQLite keeps it in the header).
    steps[n] is the SQL that makes version n + 1 of version n. name: what messages call it.
    durable: whether each transaction is forced to the disk, not only kept whole.
    """

    name: str
    application_id: int
    steps: Sequence[str]
    durable: bool


@contextlib.contextmanager
def open_database(path: Path, schema: Schema) -> Iterator[sqlite3.Connection]:
    """Give a connection to a database, made or brought to the newest version before.

    path: of the file; schema: its versions. Every statement outside ``transaction`` stands
    alone. Raises InputError for a file that is damaged, another's or of a later version;
    OutputError where it cannot be made or written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        remove_leftovers(path.parent)  # of whoever was killed there, also of settings
        connection = sqlite3.connect(path, timeout=WAIT_S, isolation_level=None)
    except (OSError, sqlite3.Error, ValueError) as exc:
        raise OutputError(str(path), _reason(exc)) from exc
    try:
        connection.execute("PRAGMA foreign_keys = ON")
        _prepare(connection, path, schema)
        yield connection
    except sqlite3.DatabaseError as exc:
        if isinstance(exc, sqlite3.ProgrammingError):
            raise
        raise _translated(exc, path, schema) from exc
    finally:
        connection.close()


@contextlib.contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """Do all that the block writes, or nothing; nobody else writes meanwhile."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


@contextlib.contextmanager
def recomputable(connection: sqlite3.Connection) -> Iterator[None]:
    """Within the block, do not wait for the disk at the end of each transaction.

    They stay whole, and last when the process dies; a power cut may take the last of them
    back. For what can be computed again. connection: to the database.
    """
    (before,) = connection.execute("PRAGMA synchronous").fetchone()
    connection.execute("PRAGMA synchronous = NORMAL")
    try:
        yield
    finally:
        connection.execute(f"PRAGMA synchronous = {before}")


def copy_database(connection: sqlite3.Connection, target: Path) -> None:
    """Write a whole copy of an open database, also while others write into it.

    connection: to the database; target: path of the copy.
    """
    with replacing(target) as file:
        copy = sqlite3.connect(file.name)
        try:
            connection.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, without companions
        except sqlite3.Error as exc:
            raise OutputError(str(target), str(exc)) from exc
        finally:
            copy.close()


def faults_of(connection: sqlite3.Connection) -> tuple[str, ...]:
    """Return what SQLite finds wrong in the file, one line each; empty where nothing is."""
    found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check")]
    broken = connection.execute("PRAGMA foreign_key_check").fetchall()
    found += [f"a row of {table} belongs to nothing in {parent}" for table, _, parent, _ in broken]
    return tuple(line for line in found if line != "ok")


def _prepare(connection: sqlite3.Connection, path: Path, schema: Schema) -> None:
    version = _version(connection, path, schema)
    if version < len(schema.steps):
        with one_at_a_time(path.with_name(f".{path.name}.lock")):
            version = _version(connection, path, schema)
            if 0 < version < len(schema.steps):
                copy_database(connection, path.with_name(f"{path.name}.version-{version}"))
            _upgrade(connection, schema, version)
    connection.execute(f"PRAGMA synchronous = {'FULL' if schema.durable else 'NORMAL'}")


def _upgrade(connection: sqlite3.Connection, schema: Schema, version: int) -> None:
    connection.execute("PRAGMA journal_mode = WAL")  # readers never wait for a writer
    for number, step in enumerate(schema.steps[version:], version + 1):
        with transaction(connection):
            for statement in _statements(step):
                connection.execute(statement)
            connection.execute(f"PRAGMA application_id = {schema.application_id}")
            connection.execute(f"PRAGMA user_version = {number}")


def _version(connection: sqlite3.Connection, path: Path, schema: Schema) -> int:
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    (application_id,) = connection.execute("PRAGMA application_id").fetchone()
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    if application_id != schema.application_id and (version or tables or application_id):
        raise InputError(f"{str(path)!r} is not {schema.name} of aquatempo (another file?)")
    if version > len(schema.steps):
        raise InputError(
            f"{schema.name} {str(path)!r} is of version {version}, this aquatempo knows "
            f"{len(schema.steps)} (was it made by a newer one? Update this one)"
        )
    return int(version)


def _statements(script: str) -> Iterator[str]:
    """Yield the statements of a script; unlike executescript this stays in a transaction."""
    pending = ""
    for line in script.splitlines(keepends=True):
        pending += line
        if sqlite3.complete_statement(pending):
            yield pending
            pending = ""
    if pending.strip():
        yield pending


def _translated(exc: sqlite3.Error, path: Path, schema: Schema) -> InputError | OutputError:
    if getattr(exc, "sqlite_errorcode", 0) & 0xFF in _WORLD:
        return OutputError(str(path), _reason(exc))
    return InputError(f"{schema.name} {str(path)!r} is damaged: {exc}")


def _reason(exc: Exception) -> str:
    if getattr(exc, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_BUSY:
        return f"another aquatempo has been writing it for {WAIT_S:g} s (wait until it is done)"
    return getattr(exc, "strerror", None) or str(exc)
