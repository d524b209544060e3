"""The page's routes: each reads its request, calls one function, and answers in JSON or HTML."""

import asyncio
import secrets
import threading
from collections.abc import Awaitable, Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from loop.answers import plain
from loop.job import JobError, program_version
from loop.page.api import Answers, Table, text_of
from loop.page.folder import ConflictError, Folder, opens
from loop.page.forms import addable, job_forms, part_forms
from loop.page.guard import OWN_POLICY, Gate, Guard
from loop.page.lessons import lesson_list
from loop.page.pdf import page_picture
from loop.page.requests import (
    NoTableError,
    changed_outside,
    mistakes,
    no_table,
    read_table,
    units_of,
    watch_leaving,
)
from loop.page.tasks import Tasks
from loop.page.workers import Workers
from loop.pumps import catalogue
from loop.words.page import SAY

_ASSETS = {
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
}


class Site:
    """One run of the page: its folder, its tasks, its token.

    With `workers`, answers come from separate processes, which end when their client disconnects.
    """

    def __init__(
        self, root: Path, token: str | None = None, workers: Workers | None = None
    ) -> None:
        self.folder, self.tasks = Folder(root), Tasks()
        self.token = token or secrets.token_urlsafe(18)
        self.workers = workers
        self._answers = Answers(self.folder)
        self._pages = Environment(
            loader=PackageLoader("loop.page"), autoescape=True, undefined=StrictUndefined
        )

    def app(self, hosts: frozenset[str], everywhere: bool = False) -> Guard:
        """The application behind its gate; `hosts` as in a Host header."""
        routes = [
            Route("/", lambda request: self._list(wall=False)),
            Route("/bench/{name}", self._bench),
            Route("/show", lambda request: self._list(wall=True)),
            Route("/show/{name}", self._show),
            Route("/pump", lambda request: self._page("pump.html")),
            Route("/lessons", self._lessons),
            Route("/lesson/{number:int}", self._lesson),
            Route("/drill", self._drill),
            Route("/call/{name}", self._call),
            Route("/static/{name}", self._static),
            Route("/api/file/{name}", self._file),
            Route("/api/sheet/{form}", self._sheet, methods=["POST"]),
            Route("/api/paper", self._paper, methods=["POST"]),
            Route("/api/size", self._task(self._begin), methods=["POST"]),
            Route("/api/task", self._task(self._look), methods=["POST"]),
            Route("/api/cancel", self._task(self._cancel), methods=["POST"]),
            *(
                Route(f"/api/{name}", self._answering(name), methods=["POST"])
                for name in self._answers.by_name
            ),
        ]
        told = {NoTableError: no_table, ConflictError: changed_outside, JobError: mistakes}
        site = Starlette(routes=routes, exception_handlers=told)
        return Guard(site, Gate(hosts, self.token, everywhere))

    def stop(self) -> None:
        """Ends all work."""
        self.tasks.stop_all()
        if self.workers is not None:
            self.workers.stop()

    # Pages -------------------------------------------------------------------------------------

    def _list(self, wall: bool) -> Response:
        jobs, root = self.folder.jobs(), self.folder.root
        # For a folder without jobs, say which subfolders have some and how to open them.
        below = [] if jobs else [(name, opens(root / name)) for name in self.folder.jobs_below()]
        return self._page("front.html", jobs=jobs, folder=root.name, wall=wall, below=below)

    def _bench(self, request: Request) -> Response:
        name, jobs = request.path_params["name"], self.folder.jobs()
        return self._page("bench.html", name=name, jobs=jobs, wall=False)

    def _show(self, request: Request) -> Response:
        return self._page("bench.html", name=request.path_params["name"], jobs=[], wall=True)

    def _lessons(self, request: Request) -> Response:
        units = units_of(request)
        return self._page("lessons.html", lessons=lesson_list(units), units=units)

    def _lesson(self, request: Request) -> Response:
        number, units = request.path_params["number"], units_of(request)
        return self._page("lesson.html", number=number, many=len(lesson_list(units)), units=units)

    def _drill(self, request: Request) -> Response:
        return self._page("drill.html", jobs=self.folder.jobs(), units=units_of(request))

    async def _call(self, request: Request) -> Response:
        """The card of a job, which runs a service call; it carries its own content policy.

        A job with mistakes gets a page that lists them instead.
        """
        name = request.path_params["name"]
        try:
            found = await self._asked(request, "card", {"name": name})
        except JobError as error:
            told = self._page("unread.html", name=name, problems=error.problems)
            told.status_code = 422
            return told
        return HTMLResponse(found["body"], headers={OWN_POLICY: "1"})

    def _static(self, request: Request) -> Response:
        name = request.path_params["name"]
        kind = _ASSETS.get(Path(name).suffix)
        asset = files("loop.page").joinpath("static", name)
        if kind is None or "/" in name or "\\" in name or not asset.is_file():
            return JSONResponse({"problems": ["no such file"]}, 404)
        return Response(asset.read_bytes(), media_type=kind)

    def _page(self, template: str, **values: Any) -> Response:
        settings: dict[str, Any] = {
            "token": self.token,
            "forms": part_forms(),
            "tables": job_forms(),
            "addable": addable(),
            "pumps": [*sorted(catalogue()), *self.folder.pumps()],
            **{key: values[key] for key in ("name", "wall", "number", "units") if key in values},
        }
        text = self._pages.get_template(template).render(
            settings=settings, version=program_version(), **values
        )
        return HTMLResponse(text)

    # Answers -----------------------------------------------------------------------------------

    def _answering(self, name: str) -> Callable[[Request], Awaitable[Response]]:
        async def route(request: Request) -> Response:
            found = await self._asked(request, name, await read_table(request))
            return JSONResponse(plain(found))

        return route

    async def _sheet(self, request: Request) -> Response:
        form = request.path_params["form"]
        asked = {**await read_table(request), "form": form}
        found = await self._asked(request, "sheet", asked)
        kind = "application/pdf" if form == "pdf" else "text/html; charset=utf-8"
        return Response(found["body"], media_type=kind)

    async def _asked(self, request: Request, name: str, asked: Table) -> Table:
        """The answer of that name."""
        if self.workers is None:
            answers = {**self._answers.by_name, **self._answers.bodies}
            return await run_in_threadpool(answers[name], asked)
        left = threading.Event()
        watching = asyncio.create_task(watch_leaving(request, left))
        try:
            workers = self.workers
            return await run_in_threadpool(workers.ask, name, asked, left.is_set)
        finally:
            watching.cancel()

    async def _file(self, request: Request) -> Response:
        found = await run_in_threadpool(self.folder.read, request.path_params["name"])
        return JSONResponse(plain(found))

    async def _paper(self, request: Request) -> Response:
        body, number = await request.body(), request.query_params.get("page", "1")
        page = int(number) if number.isdecimal() and len(number) < 5 else 1
        picture = await run_in_threadpool(page_picture, body, page)
        return Response(picture, media_type="image/png")

    # A sizing, which runs on while it is watched ------------------------------------------------

    def _task(self, work: Callable[[Table], Table]) -> Callable[[Request], Awaitable[Response]]:
        async def route(request: Request) -> Response:
            found = await run_in_threadpool(work, await read_table(request))
            return JSONResponse(plain(found))

        return route

    def _begin(self, asked: Table) -> Table:
        text = text_of(asked)
        self.folder.guard(text)
        return {"task": self.tasks.start(text, str(self.folder.root))}

    def _look(self, asked: Table) -> Table:
        try:
            return self.tasks.look(str(asked.get("task")))
        except KeyError:
            raise JobError([SAY("sizing-ended")]) from None

    def _cancel(self, asked: Table) -> Table:
        self.tasks.stop(str(asked.get("task")))
        return {}
