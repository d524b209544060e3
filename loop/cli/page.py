"""`loop page`: opens the local page on a folder of job files."""

import os
import socket
import webbrowser
from pathlib import Path
from urllib.parse import quote
from zlib import crc32

import typer

from loop.job import JobError
from loop.words.commands import SAY

_BACKLOG = 100


def page(folder: str, port: int, no_browser: bool, lan: bool, show: bool) -> None:
    """Prints the address, then serves until stopped."""
    try:
        import uvicorn

        from loop.page.connections import Patient
        from loop.page.server import Site
        from loop.page.workers import Workers
    except ImportError as error:
        raise JobError([SAY("package-missing", name=str(error.name))]) from None
    root, name = Path(folder).resolve(), ""
    if root.is_file():
        root, name = root.parent, f"/{quote(root.name)}"
    if not root.is_dir():
        raise JobError([SAY("no-folder", file=folder)])
    listener = _listen("0.0.0.0" if lan else "127.0.0.1", port or _own_port(root), not port)
    number = listener.getsockname()[1]
    addresses = ["127.0.0.1", "localhost", *([_own_address()] if lan else [])]
    workers = Workers(root)
    workers.warm()
    site = Site(root, workers=workers)
    room = f"{'show' if show else 'bench' if name else ''}{name}"
    first = f"http://{addresses[-1] if lan else addresses[0]}:{number}/{room}"
    if lan:
        first += f"?token={site.token}"
    typer.echo(first)
    if lan:
        import segno

        segno.make(first, error="m").terminal(compact=True)
        typer.echo(SAY("page-open"))
    typer.echo(SAY("page-stop"), err=True)
    if not no_browser:
        webbrowser.open(first)
    hosts = frozenset(f"{address}:{number}" for address in addresses)
    server = uvicorn.Server(
        uvicorn.Config(
            site.app(hosts, everywhere=lan),
            log_level="error",
            access_log=False,
            http=Patient,
            timeout_keep_alive=5,
            h11_max_incomplete_event_size=32_768,
            server_header=False,
        )
    )
    try:
        server.run(sockets=[listener])
    finally:
        site.stop()
        listener.close()


def _own_port(root: Path) -> int:
    """The port of a folder, always the same, so the browser finds unsaved changes and calls again.

    One of the ports reserved for private use (RFC 6335, section 6).
    """
    return 49_152 + crc32(str(root).encode()) % 16_384


def _listen(host: str, port: int, other: bool) -> socket.socket:
    """A listening socket; if the port is taken, on another port, or raises JobError."""
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name != "nt":  # on Windows this would let two programs listen on one port
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen(_BACKLOG)
    except OSError as error:
        listener.close()
        if other:
            return _listen(host, 0, False)
        raise JobError([SAY("page-port", port=port, why=error.strerror or str(error))]) from None
    return listener


def _own_address() -> str:
    """This machine's address on its network; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # TEST-NET-1 of RFC 5737: only selects a route
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"
