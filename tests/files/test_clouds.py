"""Clouds read from PLY and text, and those that are refused."""

import numpy as np
import pytest
import trimesh

from buckwright.errors import FileError
from buckwright.files.clouds import cloud_of_bytes, is_cloud

POINTS = np.array([[1.5, -2.0, 3.0], [4.0, 5.25, 6.0], [7.0, 8.0, 9.0]])


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("1.5 -2 3\n4 5.25 6\n7 8 9\n", "a.xyz"),
        ("x,y,z\n1.5,-2,3,255\n4,5.25,6,255\n7,8,9,255\n", "a.csv"),
        ("# scanner\n1.5\t-2\t3\n4\t5.25\t6\n7\t8\t9", "a.xyz"),
        ("X;Y;Z\n1,5;-2;3\n4;5,25;6\n7;8;9\n", "a.csv"),
    ],
)
def test_text_is_read_with_and_without_a_head(text: str, name: str) -> None:
    points, broken = cloud_of_bytes(text.encode(), name)
    np.testing.assert_array_equal(points, POINTS)
    assert broken == 0


@pytest.mark.parametrize("encoding", ["ascii", "binary"])
def test_a_ply_without_triangles_is_a_cloud(encoding: str) -> None:
    data = trimesh.PointCloud(POINTS).export(file_type="ply", encoding=encoding)
    data = data if isinstance(data, bytes) else data.encode()
    assert is_cloud(data, "ply")
    np.testing.assert_allclose(cloud_of_bytes(data, "a.ply")[0], POINTS)
    solid = trimesh.creation.box().export(file_type="ply")
    assert not is_cloud(solid, "ply")
    assert not is_cloud(b"solid", "stl")


def test_a_few_broken_rows_are_left_out_and_counted() -> None:
    text = "1 2 3\n" * 60 + "nan nan nan\n1 2\n"
    points, broken = cloud_of_bytes(text.encode(), "a.xyz")
    assert (len(points), broken) == (60, 2)


@pytest.mark.parametrize(
    ("data", "name", "said"),
    [
        (b"", "a.xyz", "no points"),
        (b"x,y,z\n", "a.csv", "no points"),
        (b"x,r,g,b\n1,2,3,4\n", "a.csv", "are not x, y, z"),
        (b"nan nan nan\n1 2 3\n", "a.xyz", "are no numbers"),
        (b"words and more\n", "a.xyz", "are no numbers"),
        (b"\xff\xfe\x00", "a.xyz", "as text"),
        (b"ply\nformat ascii 1.0\nelement vertex 5\n", "a.ply", "cannot be read"),
    ],
)
def test_what_is_no_cloud_is_refused(data: bytes, name: str, said: str) -> None:
    with pytest.raises(FileError) as refusal:
        cloud_of_bytes(data, name)
    assert said in refusal.value.problem
