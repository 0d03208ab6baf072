"""The base of every frozen fact, and the arrays that facts hold.

Axes are those of ISO 4130 unless a name says otherwise: x rearward from the front-axle plane,
y to the right from the centre plane, z up from the ground; millimetres, radians, float64.
"""

from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, PlainSerializer, PlainValidator, WithJsonSchema

__all__ = ["Fact", "Indices", "Numbers", "Points2", "Points3", "Triangles", "frozen"]


class Fact(BaseModel):
    """A value that never changes; two facts are equal when they are the same object.

    Arrays inside are read-only copies. `model_dump_json` and `model_validate_json` are inverses.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)

    def __eq__(self, other: object) -> bool:
        return self is other

    def __hash__(self) -> int:
        return id(self)


def frozen(array: NDArray[Any]) -> NDArray[Any]:
    """A read-only copy, as facts hold them: for `model_copy`, which checks and copies nothing."""
    copied = np.array(array)
    copied.setflags(write=False)
    return copied


def _checked(value: Any, dtype: type, width: int | None) -> NDArray[Any]:
    try:
        array: NDArray[Any] = np.array(value, dtype=dtype)
    except (TypeError, ValueError) as error:
        message = "expected numbers in a regular table"
        raise ValueError(message) from error
    if array.size == 0:
        array = array.reshape((0,) if width is None else (0, width))
    expected = 1 if width is None else 2
    if array.ndim != expected or (width is not None and array.shape[1] != width):
        message = (
            f"expected shape {'(n,)' if width is None else f'(n, {width})'}, got {array.shape}"
        )
        raise ValueError(message)
    if not np.all(np.isfinite(array)):
        message = "every number must be finite"
        raise ValueError(message)
    array.setflags(write=False)
    return array


def _table(dtype: type, width: int | None) -> tuple[Any, ...]:
    kind = "integer" if dtype is np.int64 else "number"
    item: dict[str, Any] = {"type": kind}
    schema = item if width is None else {"type": "array", "items": item, "minItems": width}
    return (
        PlainValidator(lambda value: _checked(value, dtype, width)),
        PlainSerializer(lambda array: array.tolist()),
        WithJsonSchema({"type": "array", "items": schema}),
    )


Numbers = Annotated[NDArray[np.float64], *_table(np.float64, None)]
"""(n,) float64."""
Points2 = Annotated[NDArray[np.float64], *_table(np.float64, 2)]
"""(n, 2) float64."""
Points3 = Annotated[NDArray[np.float64], *_table(np.float64, 3)]
"""(n, 3) float64."""
Indices = Annotated[NDArray[np.int64], *_table(np.int64, None)]
"""(n,) int64."""
Triangles = Annotated[NDArray[np.int64], *_table(np.int64, 3)]
"""(m, 3) int64, corners of triangles by vertex index, outside seen counter-clockwise."""
