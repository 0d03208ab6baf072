"""The job on disk.

jobfile   one SQLite file: authored facts, photographs, log of operations, kept answers
rows      a job as rows, and the difference of two jobs
history   what the log says can be undone and redone
schema    tables and migrations
bundle    export to a folder and import from it
copies    dated backups, and second copies in a synced folder
"""

from buckwright.store.bundle import export_job, import_job
from buckwright.store.copies import back_up, other_copies
from buckwright.store.history import Operation
from buckwright.store.jobfile import JobFile

__all__ = ["JobFile", "Operation", "back_up", "export_job", "import_job", "other_copies"]
