"""Run the page on this machine until it is stopped."""

from __future__ import annotations

import ipaddress
import socket
import threading
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import uvicorn
from starlette.types import ASGIApp

from feasibility.page.app import LOOPBACK_NAMES, page_app
from feasibility.page.guard import pass_phrase

MOST_CONNECTIONS = 60
IDLE_S = 15
_OPEN_AFTER_S = 0.7


class CannotListen(OSError):
    """The address cannot be listened on."""


@dataclass(frozen=True, slots=True)
class Listening:
    """Where the page can be asked for; ``phrase`` is None on this machine alone."""

    address: str
    phrase: str | None


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach the address."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def serve(
    folder: Path,
    *,
    host: str,
    port: int,
    open_browser: bool,
    say: Callable[[Listening], None],
) -> None:
    """Serve the surveys of a folder; ``say`` is called once it listens. Port 0 takes any free one.

    Raises CannotListen where the address is taken or is none of this machine's.
    """
    phrase = None if is_loopback(host) else pass_phrase()
    names = LOOPBACK_NAMES if phrase is None else (*LOOPBACK_NAMES, host, socket.gethostname())
    app = page_app(folder, names=names, phrase=phrase)
    with listening(host, port) as bound:
        own_port = bound.getsockname()[1]
        shown = f"[{host}]" if ":" in host else host
        address = f"http://{shown}:{own_port}/"
        say(Listening(address, phrase))
        if open_browser:
            threading.Timer(_OPEN_AFTER_S, webbrowser.open, [address]).start()
        server_of(app).run(sockets=[bound])


def server_of(app: ASGIApp) -> uvicorn.Server:
    """Return the server that answers for the page once it is run on a socket."""
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        lifespan="off",
        ws="none",
        server_header=False,
        limit_concurrency=MOST_CONNECTIONS,
        timeout_keep_alive=IDLE_S,
    )
    return uvicorn.Server(config)


def listening(host: str, port: int) -> socket.socket:
    """Return a socket that listens there, on any free port for 0; CannotListen if it cannot."""
    bound = None
    try:
        family = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0][0]
        bound = socket.socket(family, socket.SOCK_STREAM)
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        bound.bind((host, port))
        bound.listen(MOST_CONNECTIONS)
    except (OSError, OverflowError) as error:
        if bound is not None:
            bound.close()
        message = f"cannot listen on {host}, port {port}: {error}"
        raise CannotListen(message) from error
    return bound
