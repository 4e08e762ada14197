"""Opening the doors: what must hold before, and the server itself."""

from __future__ import annotations

import asyncio
import contextlib
import errno
import gc
import socket
import ssl
import time
from collections.abc import Callable
from pathlib import Path

import uvicorn
from fastapi import FastAPI

from voltwright.quantity.errors import Problem, ServeError
from voltwright.services import day
from voltwright.services.home import home
from voltwright.services.views import LOCAL_OWNER
from voltwright.services.workshop import Workshop
from voltwright.web.app import guarded, make_app
from voltwright.web.doors import Doors
from voltwright.web.entrance import Entrance
from voltwright.web.journal import Journal

# The collector looks for rings. A build makes some ten thousand values that are in none, and at the usual 700 it would look
# through all that is kept at every edit, up to 0.4 s at a time.
SELDOM = (10_000, 20, 20)
MAKE_AN_OWNER = "voltwright people add NAME --role owner"


def serve(
    shop: Workshop,
    *,
    port: int,
    lan: bool,
    names: tuple[str, ...],
    certificate: Path | None,
    key: Path | None,
    say: Callable[[str], None],
) -> None:
    """Serve until Ctrl-C. Raises ServeError where it cannot be done, or not safely."""
    if (certificate is None) != (key is None):
        raise ServeError(Problem("a certificate needs its key and a key its certificate", "both or none", "name both"))
    if lan and not any(each.active and each.role == "owner" for each in shop.people.list(LOCAL_OWNER)):
        what = "nobody could sign in as owner, so nobody may come in from the network"
        raise ServeError(Problem(what, "an owner with a password", f"make one first: {MAKE_AN_OWNER}"))
    if certificate is not None and key is not None:
        _must_fit(certificate, key)
    with _listening("0.0.0.0" if lan else "127.0.0.1", port) as listener:  # noqa: S104 - asked for by --lan, behind sign-in
        known_as = names or ((socket.gethostname(),) if lan else ())
        doors = Doors(listener.getsockname()[1], lan, certificate is not None, known_as)
        journal = Journal(home() / "doors.log", day.now)
        entrance = Entrance(shop.door, doors, journal, time.monotonic)
        app = make_app(shop, entrance)
        _hang_in_pages(app, shop)
        gc.freeze()  # what is loaded stays; NiceGUI looks through all other objects when it begins
        gc.enable()
        gc.set_threshold(*SELDOM)
        config = uvicorn.Config(
            guarded(app, entrance, journal),
            ssl_certfile=certificate,
            ssl_keyfile=key,
            log_level="critical",  # what is worth telling goes to the two logs of the house
            access_log=False,
            proxy_headers=False,  # what a header says of where it came from is not believed
            server_header=False,
            ws_max_size=1_000_000,
            limit_concurrency=200,
            timeout_graceful_shutdown=3,
        )
        for line in _told(doors):
            say(line)
        with contextlib.suppress(KeyboardInterrupt):
            asyncio.run(uvicorn.Server(config).serve(sockets=[listener]))
        journal.close()


def _hang_in_pages(app: FastAPI, shop: Workshop) -> None:
    from voltwright.web.pages.mount import mount

    mount(app, shop)


def _must_fit(certificate: Path, key: Path) -> None:
    """Raises ServeError where the two cannot be used."""
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password=lambda: b"")
    except (OSError, ValueError) as cause:
        what = f"the certificate cannot be used: {cause.strerror or cause if isinstance(cause, OSError) else cause}"
        allowed = "a certificate and its key, both as PEM, the key without a passphrase"
        raise ServeError(Problem(what, allowed, "see that both paths are right and belong together")) from None


_NO_PORT = {
    errno.EADDRINUSE: "something listens there already, perhaps another Voltwright",
    errno.EACCES: "only the administrator of this computer may open it",
    errno.EADDRNOTAVAIL: "this computer has no such address",
}


def _listening(host: str, port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
    except (OSError, OverflowError) as cause:
        listener.close()
        number = (cause.errno if isinstance(cause, OSError) else None) or 0
        mend = "end what listens there, or name another port with --port"
        what = f"port {port} cannot be used: {_NO_PORT.get(number, 'this computer does not give it')}"
        raise ServeError(Problem(what, "a free port from 1024 to 65535", mend)) from None
    listener.listen(128)
    return listener


def _told(doors: Doors) -> list[str]:
    """What the person at the computer must know."""
    local = f"{doors.scheme}://localhost:{doors.port}"
    if not doors.lan:
        return [f"Voltwright is at {local} for whoever uses this computer. Ctrl-C ends it."]
    known = [f"{doors.scheme}://{each}:{doors.port}" for each in doors.names]
    lines = [f"Voltwright is at {local} and, for the network, at {' and '.join(known)}. Ctrl-C ends it."]
    if not doors.tls:
        lines.append(
            "WARNING: without --certificate and --key, passwords and builds cross the network readable by everybody in it."
        )
    return lines
