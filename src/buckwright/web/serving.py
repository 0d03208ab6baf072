"""Serving one job to the browser on this machine, or, when asked, to tablets in the shop."""

import contextlib
import secrets
import socket
import webbrowser
from collections.abc import Callable, Iterator
from pathlib import Path

import uvicorn

from buckwright.errors import FileError, JobError
from buckwright.flow import StoppedError, issue_zip, solve_file, study_seams
from buckwright.model.seams import ShopReach
from buckwright.store import JobFile
from buckwright.units import parse_length
from buckwright.web.app import make_app
from buckwright.web.contracts import Asked, Stopped, Tell, Works

__all__ = ["WORKS", "serve"]

MOST_SOCKET_BYTES = 4 * 1024 * 1024
LEAST_REACH = 100.0
"""mm."""
MOST_PIECES = 12


def solve_work(path: Path, tell: Tell, stopped: Stopped) -> None:
    """Work out whatever is missing or stale."""
    solve_file(path, progress=tell, stopped=stopped)


def skin_work(path: Path, tell: Tell, stopped: Stopped) -> None:
    """Work out whatever is missing or stale up to the skin."""
    solve_file(path, until="skin", progress=tell, stopped=stopped)


def anew_work(path: Path, tell: Tell, stopped: Stopped) -> None:
    """Work out everything, whether stale or not."""
    solve_file(path, anew=True, progress=tell, stopped=stopped)


def packet_work(path: Path, tell: Tell, stopped: Stopped) -> bytes:
    """The bundle for the shop floor as a zip; the job notes that its drawings are up to date."""

    def progress(share: float) -> None:
        if stopped():
            raise StoppedError
        tell("drawings", share)

    with JobFile.open(path) as file:
        return issue_zip(file, progress=progress)


def seams_work(path: Path, tell: Tell, stopped: Stopped, *, asked: Asked) -> bytes:
    """Options for the seams of the region asked for; when stopped, the best so far."""
    study = study_seams(
        path,
        str(asked.get("region", "")),
        reach=_reach(asked),
        progress=lambda share: tell("seams", share),
        stopped=stopped,
    )
    return study.model_dump_json().encode()


def _reach(asked: Asked) -> ShopReach:
    """How large a panel the shop can handle, as typed; what is not typed is as usual."""
    usual = ShopReach()
    throat, longest = (
        parse_length(str(asked[name])) if asked.get(name) else getattr(usual, name)
        for name in ("throat", "longest")
    )
    pieces = asked.get("pieces", usual.most_pieces)
    if min(throat, longest) < LEAST_REACH:
        raise JobError("No panel is that small.", "Type how far the wheel reaches, like 900 mm.")
    if not isinstance(pieces, int) or not 2 <= pieces <= MOST_PIECES:
        raise JobError(f"Between 2 and {MOST_PIECES} pieces can be tried.", "Type one of these.")
    return ShopReach(throat=throat, longest=longest, most_pieces=pieces)


WORKS: Works = {
    "solve": solve_work,
    "anew": anew_work,
    "packet": packet_work,
    "seams": seams_work,
}


def serve(
    path: Path,
    *,
    port: int = 0,
    open_browser: bool = True,
    lan: bool = False,
    say: Callable[[str], None] = print,
) -> None:
    """Serve the job until Ctrl+C; port 0 takes a free one.

    With `lan`, listens on this machine's address in the shop's network instead of the loopback
    only. Raises FileError if the job cannot be opened or the port is taken.
    """
    host = _lan_address() if lan else "127.0.0.1"
    token = secrets.token_urlsafe(24)
    with JobFile.open(path) as store, _listening(host, port) as listener:
        taken = int(listener.getsockname()[1])
        address = f"http://{host}:{taken}/?token={token}"
        app = make_app(
            path, store, token=token, host=host, port=taken, works=WORKS, follow=skin_work
        )
        config = uvicorn.Config(
            app,
            log_level="warning",
            timeout_graceful_shutdown=2,
            ws_max_size=MOST_SOCKET_BYTES,
            server_header=False,
        )
        say(f"The page is at {address}")
        say("Keep the address to yourself: it holds the key. Stop with Ctrl+C.")
        if open_browser:
            webbrowser.open(address)
        with contextlib.suppress(KeyboardInterrupt):
            uvicorn.Server(config).run(sockets=[listener])


@contextlib.contextmanager
def _listening(host: str, port: int) -> Iterator[socket.socket]:
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as listener:
        try:
            listener.bind((host, port))
            listener.listen(128)
        except OSError as error:
            raise FileError(
                f"Port {port} is taken by another program.", "Leave --port out, or name another."
            ) from error
        yield listener


def _lan_address() -> str:
    """The address by which others in the network reach this machine; FileError without one."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Nothing is sent: connecting a datagram socket only chooses the way out.
            probe.connect(("192.0.2.1", 9))
            return str(probe.getsockname()[0])
        except OSError as error:
            raise FileError(
                "This machine is in no network.", "Join the shop's Wi-Fi, or leave --lan out."
            ) from error
