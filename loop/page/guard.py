"""What every request must pass before it reaches the page: host, origin, token, size, time."""

import asyncio
import hmac
import json
from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import SimpleCookie
from typing import Any, TypeAlias
from urllib.parse import parse_qs

from loop.records import dataclass
from loop.words.page import SAY

Scope: TypeAlias = MutableMapping[str, Any]
Message: TypeAlias = MutableMapping[str, Any]
Receive: TypeAlias = Callable[[], Awaitable[Message]]
Send: TypeAlias = Callable[[Message], Awaitable[None]]
App: TypeAlias = Callable[[Scope, Receive, Send], Awaitable[None]]

COOKIE = "loop-token"
# Largest bodies [bytes]: a job is a page of text; a datasheet is a scanned page.
LARGEST_BODY, LARGEST_UPLOAD = 600_000, 20_000_000
# Time limit for receiving a body [s].
_BODY_SECONDS = 15.0

# A page with this header carries its own policy, with the hashes of its inline scripts.
OWN_POLICY = "x-loop-own-policy"

_HEADERS = [
    (
        b"content-security-policy",
        b"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
        b"connect-src 'self'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'",
    ),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
]


@dataclass(frozen=True)
class Gate:
    """Who may ask: ``hosts`` as in a Host header, and the token of this run.

    With ``everywhere`` every request needs the token, as it must if others share the network; else
    only requests that change something.
    """

    hosts: frozenset[str]
    token: str
    everywhere: bool = False

    def refusal(self, scope: Scope) -> tuple[int, str] | None:
        """Status and text for a request that is refused; None if it may pass."""
        headers = {
            name.decode("latin-1"): value.decode("latin-1") for name, value in scope["headers"]
        }
        if headers.get("host", "").lower() not in self.hosts:
            return 403, SAY("gate-address")
        origin = headers.get("origin")
        if origin is not None and origin.lower() not in {f"http://{host}" for host in self.hosts}:
            return 403, SAY("gate-origin")
        changes = scope["method"] not in ("GET", "HEAD")
        if changes and not self._holds(headers.get("x-loop-token", "")):
            return 403, SAY("gate-token")
        if self.everywhere and not changes and not self._known(scope, headers):
            return 403, SAY("gate-terminal")
        return None

    def greeting(self, scope: Scope) -> list[tuple[bytes, bytes]]:
        """The cookie that keeps the token after a first visit."""
        if not self._holds(_asked(scope)):
            return []
        cookie = f"{COOKIE}={self.token}; HttpOnly; SameSite=Strict; Path=/"
        return [(b"set-cookie", cookie.encode())]

    def _known(self, scope: Scope, headers: dict[str, str]) -> bool:
        cookies = SimpleCookie()
        cookies.load(headers.get("cookie", "")[:2000])
        kept = cookies[COOKIE].value if COOKIE in cookies else ""
        return any(map(self._holds, (kept, _asked(scope), headers.get("x-loop-token", ""))))

    def _holds(self, given: str) -> bool:
        return hmac.compare_digest(given.encode(), self.token.encode())


class Guard:
    """Wraps an application: refuses requests, limits bodies, adds the page's headers."""

    def __init__(self, app: App, gate: Gate) -> None:
        self.app, self.gate = app, gate

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        refused = self.gate.refusal(scope)
        if refused is not None:
            await _answer(send, *refused)
            return
        most = LARGEST_UPLOAD if scope["path"] == "/api/paper" else LARGEST_BODY
        try:
            body = await asyncio.wait_for(_body(receive, most), _BODY_SECONDS)
        except TimeoutError:
            await _answer(send, 408, SAY("gate-slow"))
            return
        if body is None:
            await _answer(send, 413, SAY("gate-large", most=most // 1000))
            return
        extra = self.gate.greeting(scope)

        read = False

        async def replay() -> Message:
            # Whatever follows the body means that the client has disconnected.
            nonlocal read
            if read:
                return await receive()
            read = True
            return {"type": "http.request", "body": body, "more_body": False}

        async def headed(message: Message) -> None:
            if message["type"] == "http.response.start":
                given = list(message.get("headers", []))
                own = any(name == OWN_POLICY.encode() for name, _ in given)
                ours = _HEADERS[1:] if own else _HEADERS
                message = {**message, "headers": [*given, *ours, *extra]}
            await send(message)

        await self.app(scope, replay, headed)


def _asked(scope: Scope) -> str:
    """The token in a request's URL."""
    return str(parse_qs(scope["query_string"].decode("latin-1")[:2000]).get("token", [""])[0])


async def _body(receive: Receive, most: int) -> bytes | None:
    """The whole body; None if it is too large."""
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return bytes(body)
        body += message.get("body", b"")
        if len(body) > most:
            return None
        if not message.get("more_body", False):
            return bytes(body)


async def _answer(send: Send, status: int, words: str) -> None:
    body = json.dumps({"problems": [words]}).encode()
    headers = [(b"content-type", b"application/json"), (b"connection", b"close"), *_HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
