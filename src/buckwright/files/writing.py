"""Files that are either there whole or not at all."""

import contextlib
import errno
import os
from pathlib import Path
from secrets import token_hex

from buckwright.errors import FileError

__all__ = ["empty_folder", "write_atomically"]

_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_CLOSED = (errno.EACCES, errno.EPERM, errno.EROFS)


def write_atomically(path: Path, data: bytes | str) -> None:
    """Write the file so that whoever looks finds the old one or the new one, never a part.

    Text is written as UTF-8 with line ends as given. The folder must exist.
    Raises FileError where the disk is full, writing is not allowed, or the folder is not there.
    """
    content = data.encode("utf-8") if isinstance(data, str) else data
    part = path.with_name(f".{path.name}.{token_hex(4)}.part")
    try:
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666), "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
        _settle(path.parent)
    except OSError as error:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
        raise _in_words(path, error) from error


def empty_folder(path: Path) -> Path:
    """A folder with nothing in it: the named one, or the next free number beside it.

    Nothing is ever deleted. Raises FileError where it cannot be made.
    """
    folder, number = path, 2
    try:
        while folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            folder, number = path.with_name(f"{path.name}-{number}"), number + 1
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _in_words(folder, error) from error
    return folder


def _settle(folder: Path) -> None:
    """Make the new name last through a power cut, where the system lets a folder be synced."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _in_words(path: Path, error: OSError) -> FileError:
    if error.errno in _FULL:
        return FileError(
            f"The disk is full: {path.name} was not written.", "Make room on it and try again."
        )
    if error.errno in _CLOSED:
        return FileError(
            f"{path.name} cannot be written: {path.parent} does not allow it.",
            "Choose another folder, or ask whoever owns it.",
        )
    if error.errno in (errno.ENOENT, errno.ENOTDIR):
        return FileError(
            f"{path.name} cannot be written: {path.parent} is not a folder.",
            "Make the folder first, or choose another.",
        )
    reason = error.strerror or type(error).__name__
    return FileError(f"{path.name} cannot be written: {reason}.", "Try another folder or disk.")
