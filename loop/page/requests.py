"""What a request asks, and what it is told: tables of JSON, and mistakes with their status."""

import json
import re
import threading
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from loop.page.api import Table
from loop.units import System, system_of
from loop.words.page import SAY

# What goes before the place of a mistake: the name of a text that was sent, or of a change of it.
_OF_THE_FILE = re.compile(r"^(?:job|change): (?!is )")


class NoTableError(Exception):
    """A request whose body is no table of JSON, and what is wrong with it."""


async def read_table(request: Request) -> Table:
    """A request's JSON table; raises NoTableError where it has none."""
    try:
        asked = json.loads(await request.body())
    except (ValueError, RecursionError):
        raise NoTableError(SAY("ask-json")) from None
    if not isinstance(asked, dict):
        raise NoTableError(SAY("ask-table"))
    return asked


async def no_table(request: Request, error: Any) -> Response:
    """What a request without a table is told."""
    return JSONResponse({"problems": [str(error)]}, 400)


async def changed_outside(request: Request, error: Any) -> Response:
    """What is told where the file on disk is another one by now."""
    return JSONResponse({"problems": [SAY("changed-outside")]}, 409)


async def mistakes(request: Request, error: Any) -> Response:
    """What is told of the mistakes in what was sent.

    The page has one file open, so that a place in it needs no file's name before it.
    """
    return JSONResponse({"problems": [_OF_THE_FILE.sub("", one) for one in error.problems]}, 422)


async def watch_leaving(request: Request, left: threading.Event) -> None:
    """Sets `left` once the reader has gone."""
    while (await request.receive())["type"] != "http.disconnect":
        pass
    left.set()


def units_of(request: Request) -> System:
    """The units that an address asks for."""
    return system_of(request.query_params.get("units"))
