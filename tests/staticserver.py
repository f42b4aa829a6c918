"""A plain static web server for tests: a folder under a sub-path, with ways to go wrong on purpose."""

from __future__ import annotations

import gzip
import http.server
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from playwright.sync_api import Error, Page

PREFIX = "/band/"


def drawn(page: Page) -> None:
    """Wait until what has just changed is on the screen: for the frame that is due, and the one after it."""
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


def until(true: Callable[[], Any], complaint: str, seconds: float = 120) -> Any:
    """Ask until it is ``true``, and give that back; for what Playwright cannot wait for under the pages' policy.

    A page that loads anew meanwhile, as when a new version takes over, is asked once more.
    """
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        try:
            if value := true():
                return value
        except Error as error:
            if "because of a navigation" not in str(error):
                raise
        time.sleep(0.05)
    raise AssertionError(complaint)


class Quiet(http.server.ThreadingHTTPServer):
    """A server to which a browser that hangs up is no news."""

    def handle_error(self, request: object, client_address: object) -> None:
        pass


class StaticServer:
    """Serves ``folder`` (which a test may swap) at ``address``; ``spoil`` may change what is sent for a path.

    ``spoil(path, body)`` gives the body to send, or ``None`` to break the line half-way through it.
    """

    def __init__(self, folder: Path, port: int = 0) -> None:
        self.folder = folder
        self.spoil: Callable[[str, bytes], bytes | None] = lambda path, body: body
        self.asked: list[str] = []
        self.packs = False  # whether text is sent compressed, as web hosts do
        owner = self

        class Handler(http.server.BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                owner._answer(self)

            def log_message(self, format: str, *args: object) -> None:
                pass

        self._httpd = Quiet(("127.0.0.1", port), Handler)
        self._httpd.daemon_threads = True
        threading.Thread(target=self._httpd.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True).start()
        self.port = self._httpd.server_port
        self.address = f"http://127.0.0.1:{self.port}{PREFIX}"

    def stop(self) -> None:
        self._httpd.shutdown()
        self._httpd.server_close()

    def _answer(self, request: http.server.BaseHTTPRequestHandler) -> None:
        path = unquote(urlsplit(request.path).path)
        name = path.removeprefix(PREFIX) or "index.html"
        self.asked.append(name)
        file = self.folder / name
        found = path.startswith(PREFIX) and file.is_file()
        body = file.read_bytes() if found else b"not here"
        sent = self.spoil(name, body)
        packed = "gzip" in request.headers.get("Accept-Encoding", "") and file.suffix in PACKED
        request.send_response(200 if found else 404)
        request.send_header("Content-Type", TYPES.get(file.suffix, "application/octet-stream"))
        if packed and self.packs and sent is not None:
            sent = gzip.compress(sent, 6, mtime=0)
            request.send_header("Content-Encoding", "gzip")
        request.send_header("Content-Length", str(len(body if sent is None else sent)))
        request.send_header("Cache-Control", "max-age=600")
        request.end_headers()
        if sent is None:
            request.wfile.write(body[: len(body) // 2])
            request.wfile.flush()
            request.connection.close()
        else:
            request.wfile.write(sent)


PACKED = {".html", ".js", ".css", ".svg", ".json", ".webmanifest"}

TYPES = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript",
    ".css": "text/css",
    ".svg": "image/svg+xml",
    ".json": "application/json",
    ".webmanifest": "application/manifest+json",
    ".png": "image/png",
    ".pdf": "application/pdf",
}
