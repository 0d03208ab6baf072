import errno
import os

import pytest

from buckwright.errors import FileError
from buckwright.files.writing import empty_folder, write_atomically


def test_a_file_is_written_and_written_over(tmp_path):
    path = tmp_path / "wren.csv"
    write_atomically(path, "a\n")
    write_atomically(path, "bé\n".encode())
    assert path.read_text("utf-8") == "bé\n"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize(
    ("code", "words"), [(errno.ENOSPC, "full"), (errno.EIO, "cannot be written")]
)
def test_a_write_that_fails_leaves_the_old_file_and_no_rubbish(tmp_path, monkeypatch, code, words):
    path = tmp_path / "wren.csv"
    write_atomically(path, "old")

    def no_room(handle):
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, "fsync", no_room)
    with pytest.raises(FileError, match=words):
        write_atomically(path, "new")
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_the_real_full_device_is_told_in_plain_words(tmp_path, monkeypatch):
    true_open = os.open
    monkeypatch.setattr(
        os, "open", lambda path, flags, mode=0o777: true_open("/dev/full", os.O_WRONLY)
    )
    with pytest.raises(FileError, match="The disk is full"):
        write_atomically(tmp_path / "wren.csv", "new")


def test_a_folder_that_is_not_there_is_named(tmp_path):
    with pytest.raises(FileError, match="is not a folder"):
        write_atomically(tmp_path / "nowhere" / "wren.csv", "x")


def test_a_folder_that_does_not_allow_it_is_named(tmp_path, monkeypatch):
    def closed(*_):
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(os, "open", closed)
    with pytest.raises(FileError, match="does not allow it"):
        write_atomically(tmp_path / "wren.csv", "x")


def test_a_folder_with_something_in_it_is_left_alone(tmp_path):
    first = empty_folder(tmp_path / "packet")
    assert empty_folder(tmp_path / "packet") == first
    (first / "cover.pdf").write_text("x")
    second = empty_folder(tmp_path / "packet")
    assert second == tmp_path / "packet-2"
    assert (first / "cover.pdf").read_text() == "x"
