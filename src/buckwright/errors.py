"""What can go wrong, and whose fault it is.

ValueError                 the calling code is wrong (never shown to a user)
BuckwrightError            base of what a user may be shown
├── JobError               the job or the input has no answer: what is wrong, what to do
└── FileError              a file cannot be read or written: what is wrong, what to do
    └── NewerFileError     the file was written by a later version of the program

A doubt that leaves an answer standing is not an exception: see `buckwright.model.finding`.
"""

__all__ = ["BuckwrightError", "FileError", "JobError", "NewerFileError"]


class BuckwrightError(Exception):
    """One sentence that says what is wrong, and one that says what to do.

    `place` is where it shows in space, mm in vehicle axes, if it shows in one place.
    """

    def __init__(
        self, problem: str, remedy: str, place: tuple[float, float, float] | None = None
    ) -> None:
        super().__init__(problem, remedy)
        self.problem = problem
        self.remedy = remedy
        self.place = place

    def __str__(self) -> str:
        return f"{self.problem} {self.remedy}"


class JobError(BuckwrightError):
    """The job or its input has no answer as it stands."""


class FileError(BuckwrightError):
    """A file cannot be read or written."""


class NewerFileError(FileError):
    """The file was written by a later version of the program."""
