"""A job as rows, and the difference between two jobs as rows to set and rows to drop.

A field that is a list has one row for each item, so that an edit of one trace does not write
all the others again.
"""

import json
from typing import Any

from pydantic import ValidationError

from buckwright.errors import FileError
from buckwright.model.job import Job

__all__ = ["Change", "Rows", "difference", "job_from_rows", "rows_of_job"]

Rows = dict[tuple[str, int], str]
"""(field, position) -> JSON; position is -1 for a field that is not a list."""
Change = list[tuple[str, int, str | None]]
"""Rows to set; None drops the row."""


def _is_list(field: str) -> bool:
    return str(Job.model_fields[field].annotation).startswith("tuple[")


def rows_of_job(job: Job) -> Rows:
    """The rows that stand for this job."""
    rows: Rows = {}
    for field, value in json.loads(job.model_dump_json()).items():
        if _is_list(field):
            for position, item in enumerate(value):
                rows[field, position] = _compact(item)
        else:
            rows[field, -1] = _compact(value)
    return rows


def job_from_rows(rows: Rows) -> Job:
    """The job that these rows stand for; FileError if they do not make one."""
    fields: dict[str, Any] = {}
    for (field, position), text in sorted(rows.items()):
        if position < 0:
            fields[field] = json.loads(text)
        else:
            fields.setdefault(field, []).append(json.loads(text))
    try:
        return Job.model_validate(fields)
    except ValidationError as error:
        first = error.errors()[0]
        place = " > ".join(str(part) for part in first["loc"])
        raise FileError(
            f"The job holds something unreadable at '{place}': {first['msg']}.",
            "Open the newest dated backup beside the file.",
        ) from error


def difference(old: Rows, new: Rows) -> Change:
    """What turns `old` into `new`."""
    changed = sorted(key for key in old.keys() | new.keys() if old.get(key) != new.get(key))
    return [(*key, new.get(key)) for key in changed]


def _compact(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))
