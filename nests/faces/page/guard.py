"""Who may talk to the bench page: this machine, this page, with the token of this start.

A page from elsewhere that knows the port is kept out four times: by the name it asks for (Host, so
that no name server can turn a foreign name to this machine), by where it comes from (Origin), by a
cookie that is sent to this site only, and by a policy that lets the browser load nothing else.
"""

from __future__ import annotations

import hmac
from collections.abc import Mapping
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BYTES = 24_000_000
"""Bytes of a request at most: a photograph of a phone has some ten millions."""
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; connect-src 'self'; "
    "img-src 'self' blob:; form-action 'none'; base-uri 'none'; frame-ancestors 'none'"
)
SENT: Mapping[str, str] = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
"""Headers of every answer."""


class Guard:
    """Lets in what may come in, and answers everything else itself."""

    def __init__(self, app: ASGIApp, port: int, token: str) -> None:
        """`port` is that of the server, `token` the secret of this start."""
        self.app, self.token = app, token
        self.host = f"127.0.0.1:{port}"
        self.cookie = f"nests-bench-{port}"  # cookies know no ports

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        answer = self._refused(scope, headers)
        if answer is None:
            answer = self._entered(scope)
        if answer is None and not self._known(headers):
            answer = _no(403, "The address lacks its token, or the bench was started anew since: "
                              "take the address that nests bench printed.")  # fmt: skip
        guarded = _with_headers(send)
        if answer is not None:
            await answer(scope, receive, guarded)
            return
        await self.app(scope, _bounded(receive), guarded)

    def _refused(self, scope: Scope, headers: Headers) -> Response | None:
        """An answer to what does not come from this page at all."""
        if scope["type"] != "http":
            return _no(400, "Only plain requests are answered here.")
        if headers.getlist("host") != [self.host]:
            return _no(421, f"This server is {self.host} and nothing else.")
        origin = headers.getlist("origin")
        if (origin or scope["method"] not in ("GET", "HEAD")) and origin != [f"http://{self.host}"]:
            return _no(403, "Requests of other pages are not answered.")
        if headers.get("sec-fetch-site", "none") not in ("same-origin", "none"):
            return _no(403, "Requests of other pages are not answered.")
        length = headers.get("content-length", "0")
        if not length.isascii() or not length.isdigit() or int(length[:20]) > MOST_BYTES:
            return _no(413, f"More than {MOST_BYTES} bytes were sent.")
        return None

    def _entered(self, scope: Scope) -> Response | None:
        """The answer to the address with its token: a cookie, and the address without it."""
        given = parse_qs(scope["query_string"].decode("latin-1")).get("token", [])
        if scope["path"] != "/" or not given:
            return None
        if not _same(given[0], self.token):
            return _no(403, "This token is of another start: take the address that nests bench "
                            "printed last.")  # fmt: skip
        answer = RedirectResponse("/", status_code=303)
        answer.set_cookie(self.cookie, self.token, httponly=True, samesite="strict", path="/")
        return answer

    def _known(self, headers: Headers) -> bool:
        """Whether a request has the cookie of this start."""
        try:
            kept = SimpleCookie(headers.get("cookie", "")).get(self.cookie)
        except CookieError:
            return False
        return kept is not None and _same(kept.value, self.token)


def _same(given: str, token: str) -> bool:
    return hmac.compare_digest(given.encode(), token.encode())


def _no(status: int, says: str) -> Response:
    return PlainTextResponse(f"{says}\n", status_code=status)


def _with_headers(send: Send) -> Send:
    async def out(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in SENT.items():
                headers[name] = value
        await send(message)

    return out


def _bounded(receive: Receive) -> Receive:
    """A body that says no length is counted while it comes."""
    got = 0

    async def take() -> Message:
        nonlocal got
        message = await receive()
        got += len(message.get("body", b""))
        if got > MOST_BYTES:
            raise HTTPException(413, f"More than {MOST_BYTES} bytes were sent.")
        return message

    return take
