"""The tables of a job file, and how older files are brought up to date.

fact       one row for each authored field of the job, or for each item of a field that is a list
blob       photographs and other originals, by the SHA-256 of their bytes
operation  every edit ever made, with its inverse; undo and redo are entries of their own
product    the answer of each step, compressed JSON, with the digest of what it was made from
meta       the identity of the job
"""

import sqlite3
from collections.abc import Callable

from buckwright.errors import FileError, NewerFileError

__all__ = ["APPLICATION_ID", "VERSION", "prepare"]

APPLICATION_ID = 0x6275636B
"""'buck': lets `file` and the opening check tell a job from any other database."""
VERSION = 1

_FIRST = """
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
CREATE TABLE blob (sha256 TEXT PRIMARY KEY, bytes BLOB NOT NULL) STRICT;
CREATE TABLE fact (
  field TEXT NOT NULL, position INTEGER NOT NULL, json TEXT NOT NULL,
  PRIMARY KEY (field, position)
) STRICT;
CREATE TABLE operation (
  id INTEGER PRIMARY KEY, made TEXT NOT NULL, who TEXT NOT NULL, description TEXT NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('edit', 'undo', 'redo')),
  subject INTEGER REFERENCES operation (id), forward TEXT NOT NULL, inverse TEXT NOT NULL
) STRICT;
CREATE TABLE product (
  step TEXT PRIMARY KEY, digest TEXT NOT NULL, made TEXT NOT NULL, json BLOB NOT NULL
) STRICT;
"""


def _create(db: sqlite3.Connection) -> None:
    # Statement by statement: `executescript` would commit behind the caller's back.
    for statement in filter(str.strip, _FIRST.split(";\n")):
        db.execute(statement)


_MIGRATIONS: dict[int, Callable[[sqlite3.Connection], None]] = {0: _create}


def prepare(db: sqlite3.Connection, path: str) -> None:
    """Bring the file to `VERSION` in one transaction.

    Raises NewerFileError for a file of a later version (left untouched), FileError for a
    database that is no job.
    """
    found = int(db.execute("PRAGMA user_version").fetchone()[0])
    identity = int(db.execute("PRAGMA application_id").fetchone()[0])
    tables = db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if tables and identity != APPLICATION_ID:
        raise FileError(f"{path} is a database, but not a job.", "Pick a file that ends in .buck.")
    if found > VERSION:
        raise NewerFileError(
            f"{path} was written by a later version of buckwright (file version {found}, "
            f"this one reads up to {VERSION}).",
            "Install the later version; the file was not touched.",
        )
    if found == VERSION:
        return
    db.execute("BEGIN IMMEDIATE")
    try:
        for version in range(found, VERSION):
            _MIGRATIONS[version](db)
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        db.execute(f"PRAGMA user_version = {VERSION}")
        db.execute("COMMIT")
    except BaseException:
        db.execute("ROLLBACK")
        raise
