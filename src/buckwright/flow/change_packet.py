"""The packet for a change alone: only the wires that are new or must be bent again."""

from collections.abc import Iterator
from pathlib import Path

from buckwright.buck import plan_cuts, wires_to_make
from buckwright.buck.splices import rod_pieces
from buckwright.drawings import bend_sheets, cautions_for, change_sheets
from buckwright.errors import JobError
from buckwright.files.packet import packet_files
from buckwright.flow.packet import Paper, write_contents, zipped
from buckwright.model.buck import Buck, CuttingPlan, Piece, Wire
from buckwright.model.job import Job, Products
from buckwright.store import JobFile

__all__ = ["change_contents", "changed_buck", "issue_change", "issue_change_zip"]


def changed_buck(job: Job, buck: Buck, stage: int | None = None) -> Buck:
    """The buck of the change: its wires to make, of one stage or all, with their own cut list.

    Posts are those that hold these wires; the frame stands already. Raises JobError if nothing
    is to be made.
    """
    wires = wires_to_make(buck, stage)
    if not wires:
        which = f" of stage {stage}" if stage is not None else ""
        raise JobError(
            f"No wire{which} is new or must be bent again.",
            "What stands is right: there is nothing to make.",
        )
    names = {wire.name for wire in wires}
    posts = tuple(post for post in buck.posts if post.wire in names)
    pieces = [piece for wire in wires for piece in rod_pieces(wire)]
    pieces += [Piece(name=post.name, length=post.cut_length) for post in posts]
    return buck.model_copy(
        update={
            "wires": wires,
            "posts": posts,
            "members": (),
            "tacks": tuple(t for t in buck.tacks if names & set(t.wires)),
            "rod_plan": _rod_plan(job, buck, pieces),
            "tube_plan": buck.tube_plan.model_copy(update={"bars": (), "left_over": ()}),
            "mass": sum(wire.mass for wire in wires) + sum(post.mass for post in posts),
            "changes": _told(buck, wires, stage),
            "findings": tuple(f for f in buck.findings if f.where in names),
            "bays": (),
            "proposed": (),
            "frame": None,
            "boards": None,
        }
    )


def _rod_plan(job: Job, buck: Buck, pieces: list[Piece]) -> CuttingPlan:
    spec = job.buck
    if spec is None:
        raise JobError("This job has no buck.", "Give it a rod and wires first.")
    return plan_cuts(
        pieces,
        bar_lengths=spec.bar_lengths,
        kerf=spec.kerf,
        stock=buck.rod_plan.stock,
        remnants=job.remnants,
        useful=spec.useful_remnant,
    )


def _told(buck: Buck, wires: tuple[Wire, ...], stage: int | None) -> tuple[object, ...]:
    """What the list of changes tells: all of it, or what concerns the stage."""
    if stage is None:
        return buck.changes
    names = {wire.name for wire in wires}
    return tuple(c for c in buck.changes if c.wire in names or c.verdict == "goes")


def change_contents(
    job: Job, products: Products, *, stage: int | None = None, paper: Paper = "A4"
) -> Iterator[tuple[str, bytes]]:
    """Each file's path and bytes: cover, list of changes, bend sheets, cut list.

    Raises JobError if there is no buck, or nothing to make.
    """
    buck = products.buck
    if buck is None:
        raise JobError("There is no buck to change.", "Work the job out first.")
    part = changed_buck(job, buck, stage)
    sheets = (
        *change_sheets(job, part),
        *bend_sheets(job, buck, only={wire.name for wire in part.wires}),
    )
    return packet_files(
        job,
        Products(buck=part),
        sheets,
        findings=[("buck", finding) for finding in part.findings],
        cautions=cautions_for("wire"),
        paper=paper,
    )


def issue_change(
    file: JobFile, folder: Path, *, stage: int | None = None, paper: Paper = "A4"
) -> tuple[Path, ...]:
    """Write the packet for the change of a job file into a new or empty folder."""
    return write_contents(_fresh_contents(file, stage, paper), folder)


def issue_change_zip(file: JobFile, *, stage: int | None = None, paper: Paper = "A4") -> bytes:
    """The same as one zip."""
    job = file.job()
    return zipped(_fresh_contents(file, stage, paper), top=f"{job.name} {job.revision} change")


def _fresh_contents(file: JobFile, stage: int | None, paper: Paper) -> Iterator[tuple[str, bytes]]:
    if file.step_states()["buck"] == "stale":
        raise JobError(
            "The buck is older than the job, so what it says of the change may be wrong.",
            "Work it out again first.",
        )
    return change_contents(file.job(), file.products(("buck",)), stage=stage, paper=paper)
