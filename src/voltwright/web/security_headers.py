"""Headers that tell a browser what our pages never do, so that text which slipped in cannot do it either."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import Message, Send

# NiceGUI evaluates what it sends to its own pages, and sets styles on elements: without these two there is no page.
_PAGE = (
    "default-src 'none'; script-src 'self' 'nonce-{nonce}' 'unsafe-eval'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data:; font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)
# Files and answers: whatever is in them, nothing of it runs.
_NO_PAGE = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; form-action 'none'; base-uri 'none'"
_ALWAYS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), usb=(), serial=()",
}


def added(send: Send, nonce: str) -> Send:
    """A `send` that adds them to every answer, and takes away what would let other sites read it."""

    async def with_headers(message: Message) -> None:
        if message["type"] in ("http.response.start", "websocket.http.response.start"):
            headers = MutableHeaders(scope=message)
            is_page = headers.get("content-type", "").startswith("text/html")
            headers["Content-Security-Policy"] = _PAGE.format(nonce=nonce) if is_page else _NO_PAGE
            for name, value in _ALWAYS.items():
                headers[name] = value
            headers.setdefault("Cache-Control", "no-store")
            for name in [name for name in headers if name.startswith("access-control-")]:
                del headers[name]
        await send(message)

    return with_headers
