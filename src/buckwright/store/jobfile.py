"""A job on disk: one SQLite file, every edit one transaction."""

import json
import sqlite3
import threading
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any, Self
from uuid import uuid4

from buckwright.errors import FileError
from buckwright.model.job import STEPS, Job, Products, step_digests
from buckwright.store.history import Operation, undo_and_redo
from buckwright.store.rows import Change, Rows, difference, job_from_rows, rows_of_job
from buckwright.store.schema import prepare

__all__ = ["PRODUCT_FIELDS", "JobFile", "file_errors"]

PRODUCT_FIELDS: dict[str, tuple[str, ...]] = {
    "pictures": ("calibration", "measured", "points"),
    "lines": ("lines",),
    "skin": ("skin",),
    "people": ("people",),
    "openings": ("openings",),
    "buck": ("buck",),
    "panels": ("panels",),
    "gauges": ("gauges",),
    "checking": ("checks",),
    "plan": ("plan",),
    "drawings": (),
}
"""Which fields of `Products` each step makes."""


@contextmanager
def file_errors(path: Path) -> Iterator[None]:
    """Turn what the database or the disk says into one sentence for the user."""
    try:
        yield
    except sqlite3.Error as error:
        said = str(error)
        if "full" in said or "disk I/O" in said:
            raise FileError(
                f"The disk is full or refuses to write, so {path.name} was not changed.",
                "Free some space and do the last thing again; nothing earlier is lost.",
            ) from error
        if "locked" in said:
            raise FileError(
                f"{path.name} is being written by another program.",
                "Close it there, or wait for it to finish, and try again.",
            ) from error
        if "unable to open" in said or "readonly" in said:
            raise FileError(
                f"{path} cannot be opened for writing.",
                "Check that the folder exists and that you may write in it.",
            ) from error
        raise FileError(
            f"{path.name} is damaged or is not a job ({said}).",
            "Open the newest dated backup beside it.",
        ) from error


class JobFile:
    """An open job file; safe to use from several threads.

    `create` makes a new one, `open` opens one; use as a context manager so that it is closed.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._lock = threading.RLock()
        with file_errors(path):
            self._db = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
            try:
                self._db.execute("PRAGMA busy_timeout = 10000")
                self._db.execute("PRAGMA foreign_keys = ON")
                prepare(self._db, str(path))
                self._db.execute("PRAGMA journal_mode = WAL")
                # FULL: a commit that was answered survives a power cut, not only a kill.
                self._db.execute("PRAGMA synchronous = FULL")
                self._check()
            except BaseException:
                self._db.close()
                raise

    @classmethod
    def create(cls, path: Path, job: Job) -> Self:
        """A new file that holds this job; FileError if the path is taken."""
        if path.exists():
            raise FileError(
                f"{path} exists already.", "Choose another name, or open the one that is there."
            )
        file = cls(path)
        with file._transaction():
            file._db.execute("INSERT INTO meta VALUES ('identity', ?)", (uuid4().hex,))
            file._apply(difference({}, rows_of_job(job)))
        return file

    @classmethod
    def open(cls, path: Path) -> Self:
        """The job file at this path; FileError with a sentence if there is none."""
        if not path.is_file():
            raise FileError(
                f"There is no job at {path}.", "Check the name, or make one with 'buckwright new'."
            )
        return cls(path)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Fold the write-ahead log back into the one file, so that copying it copies everything."""
        with self._lock, file_errors(self.path):
            try:
                self._db.execute("PRAGMA busy_timeout = 0")
                self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
                self._db.execute("PRAGMA journal_mode = DELETE")
            except sqlite3.OperationalError:
                # Another window has the file open: the last one to close folds it.
                pass
            finally:
                self._db.close()

    def identity(self) -> str:
        """What stays the same when the file is renamed or copied."""
        rows = self._rows("SELECT value FROM meta WHERE key = 'identity'")
        return str(rows[0][0])

    def job(self) -> Job:
        """The job as it stands now."""
        return job_from_rows(self._facts())

    def change(self, description: str, job: Job, *, who: str = "") -> int:
        """Replace the job in one transaction that can be undone; the number of the operation.

        Nothing is logged, and 0 returned, when the new job equals the old one.
        """
        with self._transaction():
            old, new = self._facts(), rows_of_job(job)
            forward, inverse = difference(old, new), difference(new, old)
            if not forward:
                return 0
            self._apply(forward)
            return self._log(who, description, "edit", None, forward, inverse)

    def undo(self, *, who: str = "") -> str | None:
        """Take back the last standing edit; its description, or None if there is none."""
        return self._step_back_or_forth("undo", who)

    def redo(self, *, who: str = "") -> str | None:
        """Make the last undone edit again; its description, or None if there is none."""
        return self._step_back_or_forth("redo", who)

    def history(self) -> tuple[Operation, ...]:
        """The whole log, oldest first."""
        rows = self._rows(
            "SELECT id, made, who, description, kind, subject FROM operation ORDER BY id"
        )
        names = ("id", "made", "who", "description", "kind", "subject")
        return tuple(Operation(**dict(zip(names, row, strict=True))) for row in rows)

    def add_blob(self, data: bytes) -> str:
        """Keep these bytes; their SHA-256."""
        digest = sha256(data).hexdigest()
        with self._transaction():
            self._db.execute("INSERT OR IGNORE INTO blob VALUES (?, ?)", (digest, data))
        return digest

    def picture_bytes(self, digest: str) -> bytes:
        """The original bytes of a photograph; FileError if the job does not hold them."""
        rows = self._rows("SELECT bytes FROM blob WHERE sha256 = ?", digest)
        if not rows:
            raise FileError(
                "The job does not hold this photograph.", "Add the photograph to the job again."
            )
        return bytes(rows[0][0])

    def keep_products(self, products: Products, digests: Mapping[str, str]) -> None:
        """Keep the answers of the steps named in `digests`, all or none."""
        with self._transaction():
            for step, digest in digests.items():
                text = products.model_dump_json(include=set(PRODUCT_FIELDS[step]))
                self._db.execute(
                    "INSERT OR REPLACE INTO product VALUES (?, ?, ?, ?)",
                    (step, digest, _now(), zlib.compress(text.encode(), 1)),
                )

    def products(self, steps: tuple[str, ...] = STEPS) -> Products:
        """What has been computed, stale answers included."""
        fields: dict[str, object] = {}
        for step, data in self._rows("SELECT step, json FROM product"):
            if step in steps:
                fields.update(json.loads(zlib.decompress(data)))
        return Products.model_validate(fields)

    def product_digests(self) -> dict[str, str]:
        """What each kept answer was made from."""
        return dict(self._rows("SELECT step, digest FROM product"))

    def step_states(self) -> dict[str, str]:
        """For each step 'done', 'stale' (the job changed since) or 'not done'."""
        made, wanted = self.product_digests(), step_digests(self.job())
        return {
            step: "not done" if step not in made else "done" if made[step] == digest else "stale"
            for step, digest in wanted.items()
        }

    def log_rows(self) -> list[list[Any]]:
        """The whole log with what each operation does and undoes, for export."""
        return [list(row) for row in self._rows("SELECT * FROM operation ORDER BY id")]

    def product_rows(self) -> list[tuple[str, str, str, Any]]:
        """(step, digest, when made, JSON value) of every kept answer, for export."""
        rows = self._rows("SELECT step, digest, made, json FROM product ORDER BY step")
        return [(s, d, m, json.loads(zlib.decompress(j))) for s, d, m, j in rows]

    def take_over(
        self, identity: str, log: list[list[Any]], products: list[dict[str, Any]]
    ) -> None:
        """Take identity, log and answers from an export, all or none."""
        with self._transaction():
            if identity:
                self._db.execute("UPDATE meta SET value = ? WHERE key = 'identity'", (identity,))
            self._db.executemany("INSERT INTO operation VALUES (?, ?, ?, ?, ?, ?, ?, ?)", log)
            for entry in products:
                text = json.dumps(entry["product"]).encode()
                self._db.execute(
                    "INSERT INTO product VALUES (?, ?, ?, ?)",
                    (entry["step"], entry["digest"], entry["made"], zlib.compress(text, 1)),
                )

    def backup_to(self, path: Path) -> None:
        """A consistent copy at another path, while this one stays open."""
        with self._lock, file_errors(path):
            copy = sqlite3.connect(path)
            try:
                self._db.backup(copy)
                # One file, without a log beside it, so that it can be moved by itself.
                copy.execute("PRAGMA journal_mode = DELETE")
            finally:
                copy.close()

    def _facts(self) -> Rows:
        return {(f, p): j for f, p, j in self._rows("SELECT field, position, json FROM fact")}

    def _rows(self, query: str, *values: object) -> list[tuple[Any, ...]]:
        with self._lock, file_errors(self.path):
            return self._db.execute(query, values).fetchall()

    def _check(self) -> None:
        said = self._db.execute("PRAGMA quick_check(1)").fetchone()[0]
        if said != "ok":
            raise FileError(
                f"{self.path.name} is damaged ({said}).", "Open the newest dated backup beside it."
            )

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        with self._lock, file_errors(self.path):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._db.execute("COMMIT")
            except BaseException:
                if self._db.in_transaction:
                    self._db.execute("ROLLBACK")
                raise

    def _apply(self, change: Change) -> None:
        for field, position, text in change:
            if text is None:
                self._db.execute(
                    "DELETE FROM fact WHERE field = ? AND position = ?", (field, position)
                )
            else:
                self._db.execute(
                    "INSERT OR REPLACE INTO fact VALUES (?, ?, ?)", (field, position, text)
                )

    def _log(
        self,
        who: str,
        description: str,
        kind: str,
        subject: int | None,
        forward: Change,
        inverse: Change,
    ) -> int:
        cursor = self._db.execute(
            "INSERT INTO operation (made, who, description, kind, subject, forward, inverse) "
            "VALUES (?, ?, ?, ?, ?, ?, ?)",
            (_now(), who, description, kind, subject, json.dumps(forward), json.dumps(inverse)),
        )
        return int(cursor.lastrowid or 0)

    def _step_back_or_forth(self, kind: str, who: str) -> str | None:
        with self._transaction():
            standing, undone = undo_and_redo(self.history())
            candidates = standing if kind == "undo" else undone
            if not candidates:
                return None
            subject = candidates[-1]
            description, forward, inverse = self._db.execute(
                "SELECT description, forward, inverse FROM operation WHERE id = ?", (subject,)
            ).fetchone()
            there, back = (inverse, forward) if kind == "undo" else (forward, inverse)
            self._apply([tuple(row) for row in json.loads(there)])
            self._log(who, description, kind, subject, json.loads(there), json.loads(back))
            return str(description)


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")
