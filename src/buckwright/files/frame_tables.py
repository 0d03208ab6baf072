"""The inner frame's members and posts as CSV tables."""

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from buckwright.model.buck import Buck
from buckwright.units import format_length

__all__ = ["frame_csv", "posts_csv"]


def frame_csv(buck: Buck) -> str:
    """One row for each member of the inner frame: lengths over long points, saw angles."""
    return _table(
        (
            "number",
            "member",
            "kind",
            "cut_length_mm",
            "cut_length_ft_in",
            "saw_start_deg",
            "saw_end_deg",
            "saw_plane",
            "joint",
            "mass_kg",
            *(f"{end}_{axis}_mm" for end in ("start", "end") for axis in "xyz"),
        ),
        (
            (
                member.number,
                member.name,
                member.role,
                f"{member.cut_length:.1f}",
                _inches(member.cut_length),
                f"{member.start_mitre_deg:.1f}",
                f"{member.end_mitre_deg:.1f}",
                member.mitre_plane,
                "bolt" if member.bolted else "weld",
                f"{member.mass:.3f}",
                *(f"{value:.1f}" for value in (*member.start, *member.end)),
            )
            for member in buck.members
        ),
    )


def posts_csv(buck: Buck) -> str:
    """One row for each post: where it stands, its length, the angles of both ends."""
    return _table(
        (
            "post",
            "member",
            "face",
            "wire",
            "cut_length_mm",
            "cut_length_ft_in",
            "foot_off_square_deg",
            "at_wire_deg",
            "mass_kg",
            *(f"{end}_{axis}_mm" for end in ("foot", "wire") for axis in "xyz"),
        ),
        (
            (
                post.name,
                post.member,
                post.face,
                post.wire,
                f"{post.cut_length:.1f}",
                _inches(post.cut_length),
                f"{post.angle_at_member_deg:.1f}",
                f"{post.angle_at_wire_deg:.1f}",
                f"{post.mass:.4f}",
                *(f"{value:.1f}" for value in (*post.start, *post.end)),
            )
            for post in buck.posts
        ),
    )


def _table(head: Sequence[str], rows: Iterable[Sequence[str | int]]) -> str:
    text = StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue()


def _inches(mm: float) -> str:
    return format_length(mm, system="inch")
