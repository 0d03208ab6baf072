"""What stands in front of every request: who may speak to this server, and how much.

A page anywhere on the web can make a browser send requests to 127.0.0.1, so the address alone
protects nothing. Four checks do, on http and on websockets alike: the Host (against rebinding
of names), the Origin (against foreign pages), a secret that only the printed address holds
(swapped for a cookie that no script can read), and a limit on what may be sent.
"""

from collections.abc import Iterable
from http.cookies import CookieError, SimpleCookie
from secrets import compare_digest
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["MOST_BYTES", "Guard", "cookie_name"]

MOST_BYTES = 64 * 1024 * 1024
"""A request body larger than this is refused; a photograph of 50 megapixels fits."""

_SHUT_OUT = "Open the page with the address that buckwright printed; it holds the key.\n"


def cookie_name(port: int) -> str:
    """Cookies are shared by all ports of a host, so the name holds the port."""
    return f"buckwright-{port}"


class Guard:
    """Wraps the app; `hosts` are the host:port texts by which it may be called."""

    def __init__(
        self,
        app: ASGIApp,
        *,
        token: str,
        port: int,
        hosts: Iterable[str],
        most_bytes: int = MOST_BYTES,
    ) -> None:
        self.app, self.token, self.most_bytes = app, token, most_bytes
        self.cookie = cookie_name(port)
        self.hosts = frozenset(host.lower() for host in hosts)
        self.origins = frozenset(f"http://{host}" for host in self.hosts)
        self.headers = _safety_headers(self.hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer the request here if it is refused; otherwise hand it on, counting its bytes."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        refusal = self._refusal(scope)
        if scope["type"] == "websocket":
            await self._websocket(refusal, scope, receive, send)
            return

        async def send_safely(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in self.headers:
                    headers.setdefault(name, value)
            await send(message)

        if refusal is not None:
            await refusal(scope, receive, send_safely)
            return
        await self._counted(scope, receive, send_safely)

    def _refusal(self, scope: Scope) -> Response | None:
        """The answer that ends this request here, or None if it may go on."""
        headers = Headers(scope=scope)
        if headers.get("host", "").lower() not in self.hosts:
            return PlainTextResponse("This server is not called that.\n", status_code=421)
        origin = headers.get("origin")
        if origin is not None and origin.lower() not in self.origins:
            return PlainTextResponse("Another page may not use this one.\n", status_code=403)
        if not _from_here(scope, headers):
            return PlainTextResponse("Another page may not use this one.\n", status_code=403)
        offered = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("token")
        if offered is not None and scope["type"] == "http" and scope["path"] == "/":
            return self._let_in(offered[0])
        if not self._known(headers):
            return PlainTextResponse(_SHUT_OUT, status_code=403)
        length = headers.get("content-length", "")
        if length.isdigit() and int(length) > self.most_bytes:
            return _too_much()
        return None

    def _let_in(self, offered: str) -> Response:
        if not compare_digest(offered.encode(), self.token.encode()):
            return PlainTextResponse(_SHUT_OUT, status_code=403)
        response = RedirectResponse("/", status_code=303)
        response.set_cookie(self.cookie, self.token, httponly=True, samesite="strict", path="/")
        return response

    def _known(self, headers: Headers) -> bool:
        try:
            morsel = SimpleCookie(headers.get("cookie", "")).get(self.cookie)
        except CookieError:
            return False
        return morsel is not None and compare_digest(morsel.value.encode(), self.token.encode())

    async def _websocket(
        self, refusal: Response | None, scope: Scope, receive: Receive, send: Send
    ) -> None:
        if refusal is None:
            await self.app(scope, receive, send)
            return
        await receive()
        if "websocket.http.response" in scope.get("extensions", {}):
            await send(
                {
                    "type": "websocket.http.response.start",
                    "status": refusal.status_code,
                    "headers": refusal.raw_headers,
                }
            )
            await send({"type": "websocket.http.response.body", "body": bytes(refusal.body)})
        else:
            await send({"type": "websocket.close", "code": 1008})

    async def _counted(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand on, but answer here when more arrives than a length said or left unsaid."""
        taken, begun, refused = 0, False, False

        async def receive_counted() -> Message:
            nonlocal taken, refused
            message = await receive()
            taken += len(message.get("body", b""))
            if taken <= self.most_bytes:
                return message
            if not begun and not refused:
                refused = True
                await _too_much()(scope, receive, send)
            # To the app it looks as if the sender had gone away.
            return {"type": "http.disconnect"}

        async def send_unless_refused(message: Message) -> None:
            nonlocal begun
            if not refused:
                begun = True
                await send(message)

        try:
            await self.app(scope, receive_counted, send_unless_refused)
        except ClientDisconnect:
            if not refused:
                raise


def _too_much() -> Response:
    return PlainTextResponse("That is more than this server takes at once.\n", status_code=413)


def _from_here(scope: Scope, headers: Headers) -> bool:
    """Whether the browser says that our own page asks, or that a person came by a link."""
    site = headers.get("sec-fetch-site", "none")
    if site in ("none", "same-origin"):
        return True
    return scope.get("method") == "GET" and headers.get("sec-fetch-mode") == "navigate"


def _safety_headers(hosts: Iterable[str]) -> tuple[tuple[str, str], ...]:
    sockets = " ".join(sorted(f"ws://{host}" for host in hosts))
    policy = {
        "default-src": "'none'",
        "script-src": "'self'",
        "style-src": "'self'",
        "font-src": "'self'",
        "img-src": "'self' blob: data:",
        "connect-src": f"'self' {sockets}",
        "form-action": "'none'",
        "base-uri": "'none'",
        "frame-ancestors": "'none'",
    }
    return (
        ("content-security-policy", "; ".join(f"{k} {v}" for k, v in policy.items())),
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "no-referrer"),
        ("cross-origin-resource-policy", "same-origin"),
        ("cross-origin-opener-policy", "same-origin"),
        ("cache-control", "no-store"),
    )
