"""Requests and responses: JSON tables, and mistakes with their status codes."""

import json
import re
import threading
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from loop.page.api import Table
from loop.page.folder import THIS_FILE
from loop.units import System, system_of
from loop.words.page import SAY

# Prefix of a mistake's place: the name of the text that was sent, or of a change to it.
_OF_THE_FILE = re.compile(rf"^(?:{THIS_FILE}|change): (?!is )")


class NoTableError(Exception):
    """A request whose body is not a JSON table, with what is wrong with it."""


async def read_table(request: Request) -> Table:
    """A request's JSON table; raises NoTableError if it has none."""
    try:
        asked = json.loads(await request.body())
    except (ValueError, RecursionError):
        raise NoTableError(SAY("ask-json")) from None
    if not isinstance(asked, dict):
        raise NoTableError(SAY("ask-table"))
    return asked


async def no_table(request: Request, error: Any) -> Response:
    """The response to a request without a table."""
    return JSONResponse({"problems": [str(error)]}, 400)


async def changed_outside(request: Request, error: Any) -> Response:
    """The response if the file on disk has changed since it was read."""
    return JSONResponse({"problems": [SAY("changed-outside")]}, 409)


async def mistakes(request: Request, error: Any) -> Response:
    """The response that lists the mistakes in what was sent.

    The page has one file open, so a place in it needs no file name.
    """
    return JSONResponse({"problems": [_OF_THE_FILE.sub("", one) for one in error.problems]}, 422)


async def watch_leaving(request: Request, left: threading.Event) -> None:
    """Sets `left` once the client has disconnected."""
    while (await request.receive())["type"] != "http.disconnect":
        pass
    left.set()


def units_of(request: Request) -> System:
    """The units in the URL."""
    return system_of(request.query_params.get("units"))
