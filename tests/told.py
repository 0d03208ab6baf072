"""A command run inside the test's own process, for speed: exit code, and what it printed."""

import json
from pathlib import Path
from typing import Any

import pytest

from buckwright.cli import main


class Told:
    """Call it with the command's arguments; it keeps what came of the last call."""

    def __init__(self, command: str, capsys: pytest.CaptureFixture[str]) -> None:
        self.command, self.capsys = command, capsys

    def __call__(self, *arguments: str | Path) -> "Told":
        self.code = main([self.command, *map(str, arguments)])
        self.out, self.err = self.capsys.readouterr()
        return self

    @property
    def json(self) -> dict[str, Any]:
        return dict(json.loads(self.out))
