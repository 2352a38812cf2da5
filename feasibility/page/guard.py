"""What stands before every request: host, origin, pass phrase, size and rate, strict headers."""

from __future__ import annotations

import hmac
import ipaddress
import secrets
import time
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_CHANGE_BYTES = 300_000
LARGEST_UPLOAD_BYTES = 60_000_000
UPLOADS = ("/new", "/log")
"""Ends of the paths that take a file."""
ENTER = "/enter"
SESSION = "feasibility_session"
REQUESTS_PER_S, REQUESTS_AT_ONCE = 25.0, 120.0
TRIES_PER_S, TRIES_AT_ONCE = 1 / 12, 5.0
MOST_CLIENTS, MOST_SESSIONS = 1000, 100
_CONSONANTS, _VOWELS = "bdfghjklmnprstvz", "aeiou"
_SYLLABLES = 8

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; script-src 'self'; "
    "img-src 'self'; connect-src 'self'; form-action 'self'; frame-ancestors 'none'; "
    "base-uri 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}


def pass_phrase() -> str:
    """Return a phrase for one start of the server: eight syllables, about 50 bits."""
    syllables = [secrets.choice(_CONSONANTS) + secrets.choice(_VOWELS) for _ in range(_SYLLABLES)]
    return "-".join("".join(syllables[n : n + 2]) for n in range(0, _SYLLABLES, 2))


@dataclass(slots=True)
class Bucket:
    """What a client may still ask at once; it fills again with time."""

    left: float
    at_s: float


@dataclass(slots=True)
class Rate:
    """So many a second on the average, so many at once, for each client."""

    per_s: float
    at_once: float
    _buckets: OrderedDict[str, Bucket] = field(default_factory=OrderedDict)

    def allows(self, client: str) -> bool:
        """Count one more of this client; False where it is one too many."""
        now = time.monotonic()
        bucket = self._buckets.pop(client, None) or Bucket(self.at_once, now)
        bucket.left = min(self.at_once, bucket.left + (now - bucket.at_s) * self.per_s)
        bucket.at_s = now
        self._buckets[client] = bucket
        while len(self._buckets) > MOST_CLIENTS:
            self._buckets.popitem(last=False)
        if bucket.left < 1:
            return False
        bucket.left -= 1
        return True


class Guard:
    """Wraps the page; nothing reaches it that did not come from the page itself.

    ``names`` are the host names under which it may be asked for beside the address that the
    request arrived at; a name that somebody else points here is refused (no DNS rebinding).
    ``phrase`` is asked for once by every browser, unless it is None.
    """

    def __init__(self, app: ASGIApp, *, names: tuple[str, ...], phrase: str | None) -> None:
        self.app = app
        self.names = frozenset(name.lower() for name in names)
        self.phrase = phrase
        self.sessions: OrderedDict[str, None] = OrderedDict()
        self.requests = Rate(REQUESTS_PER_S, REQUESTS_AT_ONCE)
        self.tries = Rate(TRIES_PER_S, TRIES_AT_ONCE)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request that is refused, hand on any other."""
        if scope["type"] != "http":
            return
        headers = Headers(scope=scope)
        limit = LARGEST_UPLOAD_BYTES if _takes_file(scope["path"]) else LARGEST_CHANGE_BYTES

        async def guarded_send(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        limited = _limited(receive, limit)
        refusal = self._refusal(scope, headers, limit)
        if refusal is None and self.phrase is not None:
            try:
                refusal = await self._entry(scope, headers, limited)
            except HTTPException:
                refusal = _too_large(limit)
        await (refusal or self.app)(scope, limited, guarded_send)

    def _refusal(self, scope: Scope, headers: Headers, limit: int) -> Response | None:
        client = scope["client"][0] if scope.get("client") else ""
        if not self.requests.allows(client):
            return PlainTextResponse("Too many requests; wait a moment.", 429)
        if not self._is_own_host(headers.get("host", ""), scope):
            return PlainTextResponse("This name is not one of this server's.", 421)
        return _faulty(scope["method"], headers, limit)

    def _is_own_host(self, host: str, scope: Scope) -> bool:
        name, port = _split_host(host.lower())
        address, own_port = (scope.get("server") or ("", None))[:2]
        if own_port is not None and port != own_port:
            return False
        if name in self.names:
            return True
        try:
            return ipaddress.ip_address(name) == ipaddress.ip_address(address)
        except ValueError:
            return False

    async def _entry(self, scope: Scope, headers: Headers, receive: Receive) -> Response | None:
        """Return what a browser gets that has not given the phrase yet."""
        if _cookies(headers).get(SESSION) in self.sessions or scope["path"].startswith("/static/"):
            return None
        if scope["path"] == ENTER:
            return await self._tried(scope, receive) if scope["method"] == "POST" else None
        # A browser says sec-fetch-mode only to addresses that it trusts, not to one in a network.
        if headers.get("accept") == "application/json":
            return PlainTextResponse("The pass phrase is asked for again.", 401)
        return RedirectResponse(ENTER, 303)

    async def _tried(self, scope: Scope, receive: Receive) -> Response:
        client = scope["client"][0] if scope.get("client") else ""
        if not self.tries.allows(client):
            return PlainTextResponse("Too many tries; wait a minute.", 429)
        form = parse_qs((await _body(receive)).decode("utf-8", "replace"))
        given = "".join(form.get("phrase", [""])[0].lower().split())
        if not hmac.compare_digest(given.encode(), str(self.phrase).encode()):
            return RedirectResponse(f"{ENTER}?wrong=1", 303)
        return self._entered()

    def _entered(self) -> Response:
        session = secrets.token_urlsafe(32)
        self.sessions[session] = None
        while len(self.sessions) > MOST_SESSIONS:
            self.sessions.popitem(last=False)
        response = RedirectResponse("/", 303)
        response.set_cookie(SESSION, session, httponly=True, samesite="strict", path="/")
        return response


def _faulty(method: str, headers: Headers, limit: int) -> Response | None:
    length = headers.get("content-length", "0")
    if not length.isdecimal() or int(length) > limit:
        return _too_large(limit)
    if method not in ("GET", "HEAD", "POST"):
        return PlainTextResponse("This is not done here.", 405, {"Allow": "GET, HEAD, POST"})
    if method == "POST" and not _same_origin(headers):
        return PlainTextResponse("A change has to come from the page itself.", 403)
    return None


def _takes_file(path: str) -> bool:
    return path.endswith(UPLOADS)


def _too_large(limit: int) -> Response:
    return PlainTextResponse(f"Too large: at most {limit / 1e6:g} MB are taken here.", 413)


def _limited(receive: Receive, limit: int) -> Receive:
    taken = 0

    async def limited() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > limit:
            raise HTTPException(413, f"at most {limit / 1e6:g} MB are taken here")
        return message

    return limited


async def _body(receive: Receive) -> bytes:
    body = bytearray()
    while True:
        message = await receive()
        body += message.get("body", b"")
        if message["type"] != "http.request" or not message.get("more_body"):
            return bytes(body)


def _split_host(host: str) -> tuple[str, int]:
    """Return name and port of a host header; the port is 80 where none stands."""
    if host.startswith("["):
        name, closed, rest = host[1:].partition("]")
        if not closed:
            return "", 0
        port = rest.removeprefix(":")
    else:
        name, _, port = host.partition(":")
    return name, int(port) if port.isdecimal() and len(port) < 6 else 80


def _same_origin(headers: Headers) -> bool:
    """Whether a browser says that the request comes from this page; without a word it does not."""
    site = headers.get("sec-fetch-site")
    if site is not None and site != "same-origin":
        return False
    return headers.get("origin") == f"http://{headers.get('host')}"


def _cookies(headers: Headers) -> Mapping[str, str]:
    try:
        return {name: one.value for name, one in SimpleCookie(headers.get("cookie", "")).items()}
    except CookieError:
        return {}
