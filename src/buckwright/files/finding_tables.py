"""CSV table of findings: every doubt and every note, in full."""

import csv
from collections.abc import Sequence
from io import StringIO

from buckwright.model.finding import Finding

__all__ = ["findings_csv"]


def findings_csv(findings: Sequence[tuple[str, Finding]]) -> str:
    """One row for each of the (step, finding) given, doubts first."""
    out = StringIO()
    write = csv.writer(out, lineterminator="\r\n")
    write.writerow(("kind", "step", "where", "what", "what_to_do", "code"))
    for step, one in sorted(findings, key=lambda pair: pair[1].kind != "doubt"):
        write.writerow((one.kind, step, one.where, one.message, one.remedy, one.code))
    return out.getvalue()
