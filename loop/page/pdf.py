"""A page of a PDF as a picture; its reader works apart, for a file may be made to break it."""

import io
import threading
from importlib.util import find_spec
from multiprocessing.connection import Connection

from loop.job import JobError
from loop.page.apart import begin

# Largest picture of a page [pixels each way]; a datasheet is read well at this size.
_LARGEST = 2400
_SECONDS = 30.0
_AT_ONCE = threading.Semaphore(2)
_NOT_READ = "this file is not a PDF that can be read"


def page_picture(body: bytes, number: int) -> bytes:
    """One page of a PDF as a PNG; raises JobError where it is no PDF or has no such page."""
    if find_spec("pypdfium2") is None:
        raise JobError(["to read PDF files: pip install pypdfium2; or take a picture of the page"])
    if not body.startswith(b"%PDF-"):
        raise JobError([_NOT_READ])
    with _AT_ONCE:
        work = begin(_draw, body, number)
        try:
            if not work.pipe.poll(_SECONDS):
                raise JobError(["this page takes too long to draw; take a picture of it"])
            told = work.pipe.recv()
        except EOFError:
            raise JobError([_NOT_READ]) from None
        finally:
            work.end()
    if isinstance(told, str):
        raise JobError([told])
    return bytes(told)


def _draw(pipe: Connection, body: bytes, number: int) -> None:
    """Runs in the process: sends the PNG, or what is wrong."""
    import pypdfium2

    try:
        with pypdfium2.PdfDocument(body) as document:
            if not 1 <= number <= len(document):
                pipe.send(f"this PDF has {len(document)} pages")
                return
            page = document[number - 1]
            scale = min(_LARGEST / max(page.get_width(), page.get_height(), 1.0), 4.0)
            made = io.BytesIO()
            page.render(scale=scale).to_pil().save(made, format="PNG")
            pipe.send(made.getvalue())
    except (pypdfium2.PdfiumError, ValueError, MemoryError):
        pipe.send(_NOT_READ)
