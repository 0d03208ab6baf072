"""Reading the tables that come with the package."""

import csv
from importlib.resources import files

__all__ = ["table_rows"]


def table_rows(name: str) -> list[dict[str, str]]:
    """Rows of a CSV file beside this one, each by its column heads."""
    text = files("buckwright.tables").joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))
