"""Clients of the page: one without a network, and a page that runs in this process."""

import asyncio
import json
import socket
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import uvicorn

from loop.page.connections import Patient
from loop.page.guard import Guard
from loop.page.server import Site

HOST = "127.0.0.1:8000"
TOKEN = "right-token"


class Reader:
    """A client of one run of the page, without a network."""

    def __init__(self, root: Path, everywhere: bool = False) -> None:
        self.site = Site(root, token=TOKEN)
        self.app: Guard = self.site.app(frozenset({HOST}), everywhere)

    def ask(self, method: str, path: str, **options: Any) -> httpx.Response:
        """One request; ``host`` and ``token`` replace the right ones."""
        headers: dict[str, str] = {"host": options.pop("host", HOST)}
        token = options.pop("token", TOKEN)
        if token:
            headers["x-loop-token"] = token
        headers |= options.pop("headers", {})

        async def run() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app)  # type: ignore[arg-type]
            async with httpx.AsyncClient(transport=transport, base_url=f"http://{HOST}") as client:
                return await client.request(method, path, headers=headers, **options)

        # In its own thread: the browser's driver keeps an event loop running in this one.
        with ThreadPoolExecutor(1) as alone:
            return alone.submit(asyncio.run, run()).result()

    def post(self, path: str, body: Any, **options: Any) -> httpx.Response:
        """A request with a JSON body."""
        return self.ask("POST", path, content=json.dumps(body), **options)


@contextmanager
def listening(root: Path) -> Iterator[int]:
    """Serves the page on a port of this machine and yields the port."""
    with socket.create_server(("127.0.0.1", 0), backlog=1000) as listener:
        port = listener.getsockname()[1]
        app = Site(root, token=TOKEN).app(frozenset({f"127.0.0.1:{port}"}))
        server = uvicorn.Server(
            uvicorn.Config(app, http=Patient, log_level="error", timeout_keep_alive=1)
        )
        thread = threading.Thread(target=server.run, args=([listener],), daemon=True)
        thread.start()
        yield port
        server.should_exit = True
        thread.join(10)
