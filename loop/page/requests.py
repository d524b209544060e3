"""What a request asks, and what it is told: tables of JSON, and mistakes with their status."""

import json
import threading
from collections.abc import Callable

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from loop.job import JobError
from loop.page.api import Table
from loop.page.folder import ConflictError
from loop.units import System
from loop.words.page import SAY


async def read_table(request: Request) -> Table | Response:
    """A request's JSON table, or the response that says what is wrong with it."""
    try:
        asked = json.loads(await request.body())
    except (ValueError, RecursionError):
        return JSONResponse({"problems": [SAY("ask-json")]}, 400)
    if not isinstance(asked, dict):
        return JSONResponse({"problems": [SAY("ask-table")]}, 400)
    return asked


async def told(work: Callable[[], Table]) -> Table | Response:
    """What `work` gives, off the event loop; or its mistakes, with the status that fits."""
    try:
        return await run_in_threadpool(work)
    except ConflictError:
        return JSONResponse({"problems": [SAY("changed-outside")]}, 409)
    except JobError as error:
        return JSONResponse({"problems": error.problems}, 422)


async def watch_leaving(request: Request, left: threading.Event) -> None:
    """Sets `left` once the reader has gone."""
    while (await request.receive())["type"] != "http.disconnect":
        pass
    left.set()


def units_of(request: Request) -> System:
    """The units that an address asks for."""
    return "si" if request.query_params.get("units") == "si" else "us"
