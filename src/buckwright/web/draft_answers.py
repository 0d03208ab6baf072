"""What the page asks about the skin in a moment."""

from starlette.requests import Request
from starlette.responses import Response

from buckwright.web.room import Room

__all__ = ["draft"]


def draft(request: Request) -> Response:
    """The frame of the draft, see `drafts`; without regions where none is wanted."""
    room: Room = request.app.state.room
    data = room.drafts.frame(room.desk.view())
    return Response(data, media_type="application/octet-stream")
