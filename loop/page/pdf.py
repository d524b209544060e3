"""A PDF page as a picture, made in a separate process since a file may be built to break it."""

import io
import threading
from importlib.util import find_spec
from multiprocessing.connection import Connection

from loop.job import JobError
from loop.page.apart import begin
from loop.words.page import SAY

# Largest picture of a page [pixels each way]; enough to read a datasheet.
_LARGEST = 2400
_SECONDS = 30.0
_AT_ONCE = threading.Semaphore(2)


def page_picture(body: bytes, number: int) -> bytes:
    """One page of a PDF as a PNG; raises JobError if it is not a PDF or has no such page."""
    if find_spec("pypdfium2") is None:
        raise JobError([SAY("pdf-no-reader")])
    if not body.startswith(b"%PDF-"):
        raise JobError([SAY("pdf-not-read")])
    with _AT_ONCE:
        work = begin(_draw, body, number)
        try:
            if not work.pipe.poll(_SECONDS):
                raise JobError([SAY("pdf-slow")])
            told = work.pipe.recv()
        except EOFError:
            raise JobError([SAY("pdf-not-read")]) from None
        finally:
            work.end()
    if isinstance(told, str):
        raise JobError([told])
    return bytes(told)


def _draw(pipe: Connection, body: bytes, number: int) -> None:
    """Runs in the process: sends the PNG, or an error message."""
    import pypdfium2

    try:
        with pypdfium2.PdfDocument(body) as document:
            if not 1 <= number <= len(document):
                pipe.send(SAY("pdf-pages", count=len(document)))
                return
            page = document[number - 1]
            scale = min(_LARGEST / max(page.get_width(), page.get_height(), 1.0), 4.0)
            made = io.BytesIO()
            page.render(scale=scale).to_pil().save(made, format="PNG")
            pipe.send(made.getvalue())
    except (pypdfium2.PdfiumError, ValueError, MemoryError):
        pipe.send(SAY("pdf-not-read"))
