"""Dated backups beside the job, and other copies of the same job in the same folder.

A cloud-synced folder answers two edits at once with a second copy under another name; whoever
opens either has to know.
"""

import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

from buckwright.errors import FileError
from buckwright.store.jobfile import JobFile, file_errors
from buckwright.store.schema import APPLICATION_ID

__all__ = ["back_up", "other_copies"]

_KEPT = 5


def back_up(file: JobFile, *, today: date) -> Path:
    """A copy in the folder `NAME backups`, one for each day, the newest five kept.

    The copy is whole or not there: it is made under a passing name and then renamed.
    Raises FileError when the disk is full; the job itself is not touched.
    """
    folder = file.path.with_name(f"{file.path.stem} backups")
    target = folder / f"{file.path.stem} {today.isoformat()}.buck"
    passing = target.with_suffix(".part")
    try:
        folder.mkdir(exist_ok=True)
        file.backup_to(passing)
        passing.replace(target)
    except OSError as error:
        raise FileError(
            f"No backup could be written beside {file.path.name} ({error.strerror}).",
            "Free some space; the job itself is safe.",
        ) from error
    finally:
        passing.unlink(missing_ok=True)
    for old in sorted(folder.glob(f"{file.path.stem} ????-??-??.buck"))[:-_KEPT]:
        old.unlink(missing_ok=True)
    return target


def other_copies(file: JobFile) -> tuple[Path, ...]:
    """Other files in the same folder that hold the same job."""
    identity = file.identity()
    others = (p for p in sorted(file.path.parent.glob("*.buck")) if not p.samefile(file.path))
    return tuple(path for path in others if _identity_of(path) == identity)


def _identity_of(path: Path) -> str | None:
    try:
        with (
            file_errors(path),
            closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as db,
        ):
            if db.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                return None
            row = db.execute("SELECT value FROM meta WHERE key = 'identity'").fetchone()
            return None if row is None else str(row[0])
    except FileError:
        # Some other program's file, or a damaged one: not this job, and not ours to judge here.
        return None
