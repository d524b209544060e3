"""The page's routes: each reads its request, calls one function, and answers in JSON or HTML."""

import json
import secrets
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from loop.job import JobError, program_version
from loop.page import paper
from loop.page.api import Answers, text_of
from loop.page.folder import ConflictError, Folder
from loop.page.forms import addable, job_forms, part_forms
from loop.page.guard import OWN_POLICY, Gate, Guard
from loop.page.lessons import lesson_list
from loop.page.tasks import Tasks
from loop.pumps import catalogue
from loop.units import System

_ASSETS = {
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
}


class Site:
    """One start of the page: its folder, its tasks, its token."""

    def __init__(self, root: Path, token: str | None = None) -> None:
        self.folder = Folder(root)
        self.tasks = Tasks()
        self.token = token or secrets.token_urlsafe(18)
        self._pages = Environment(
            loader=PackageLoader("loop.page"), autoescape=True, undefined=StrictUndefined
        )

    def app(self, hosts: frozenset[str], everywhere: bool = False) -> Guard:
        """The application behind its gate; `hosts` as they stand in a Host header."""
        routes = [
            Route("/", self._front),
            Route("/bench/{name}", self._bench),
            Route("/show", self._wall),
            Route("/show/{name}", self._show),
            Route("/pump", self._pump),
            Route("/lessons", self._lessons),
            Route("/lesson/{number:int}", self._lesson),
            Route("/drill", self._drill),
            Route("/call/{name}", self._call),
            Route("/static/{name}", self._static),
            Route("/api/file/{name}", self._file),
            Route("/api/sheet/{form}", self._sheet, methods=["POST"]),
            Route("/api/paper", self._paper, methods=["POST"]),
            *(
                Route(f"/api/{name}", _answering(work), methods=["POST"])
                for name, work in Answers(self.folder, self.tasks).by_name.items()
            ),
        ]
        return Guard(Starlette(routes=routes), Gate(hosts, self.token, everywhere))

    # Pages -------------------------------------------------------------------------------------

    async def _front(self, request: Request) -> Response:
        jobs = await run_in_threadpool(self.folder.jobs)
        return self._page("front.html", jobs=jobs, folder=self.folder.root.name, wall=False)

    async def _wall(self, request: Request) -> Response:
        jobs = await run_in_threadpool(self.folder.jobs)
        return self._page("front.html", jobs=jobs, folder=self.folder.root.name, wall=True)

    async def _bench(self, request: Request) -> Response:
        return self._page("bench.html", name=request.path_params["name"], wall=False)

    async def _show(self, request: Request) -> Response:
        return self._page("bench.html", name=request.path_params["name"], wall=True)

    async def _pump(self, request: Request) -> Response:
        return self._page("pump.html")

    async def _lessons(self, request: Request) -> Response:
        units = _units(request)
        return self._page("lessons.html", lessons=lesson_list(units), units=units)

    async def _lesson(self, request: Request) -> Response:
        number, units = request.path_params["number"], _units(request)
        return self._page("lesson.html", number=number, many=len(lesson_list(units)), units=units)

    async def _drill(self, request: Request) -> Response:
        jobs = await run_in_threadpool(self.folder.jobs)
        return self._page("drill.html", jobs=jobs, units=_units(request))

    async def _call(self, request: Request) -> Response:
        """The card of a job, which works a service call; it brings a policy of its own."""
        try:
            text = await run_in_threadpool(_card, self.folder, request.path_params["name"])
        except JobError as error:
            return JSONResponse({"problems": error.problems}, 422)
        return HTMLResponse(text, headers={OWN_POLICY: "1"})

    async def _static(self, request: Request) -> Response:
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
            "pumps": sorted(catalogue()),
            **{key: values[key] for key in ("name", "wall", "number", "units") if key in values},
        }
        text = self._pages.get_template(template).render(
            settings=settings, version=program_version(), **values
        )
        return HTMLResponse(text)

    # Answers -----------------------------------------------------------------------------------

    async def _file(self, request: Request) -> Response:
        def work(asked: dict[str, Any]) -> dict[str, Any]:
            opened = self.folder.read(request.path_params["name"])
            return {"text": opened.text, "mark": opened.mark}

        return await run_in_threadpool(_told, work, {})

    async def _sheet(self, request: Request) -> Response:
        form = request.path_params["form"]
        try:
            text = text_of(json.loads(await request.body()))
            body = await run_in_threadpool(_sheet, self.folder, text, form)
        except JobError as error:
            return JSONResponse({"problems": error.problems}, 422)
        except (ValueError, RecursionError, AttributeError):
            return JSONResponse({"problems": ["the request is not JSON"]}, 400)
        kind = "application/pdf" if form == "pdf" else "text/html; charset=utf-8"
        return Response(body, media_type=kind)

    async def _paper(self, request: Request) -> Response:
        body = await request.body()
        number = request.query_params.get("page", "1")
        try:
            page = int(number) if number.isdecimal() and len(number) < 5 else 1
            picture = await run_in_threadpool(paper.page_picture, body, page)
        except JobError as error:
            return JSONResponse({"problems": error.problems}, 422)
        return Response(picture, media_type="image/png")


def _answering(work: Callable[[dict[str, Any]], dict[str, Any]]) -> Any:
    """A route that hands a JSON request to `work`, off the event loop, and tells mistakes."""

    async def route(request: Request) -> Response:
        asked: dict[str, Any] = {}
        if request.method == "POST":
            try:
                asked = json.loads(await request.body())
            except (ValueError, RecursionError):
                return JSONResponse({"problems": ["the request is not JSON"]}, 400)
            if not isinstance(asked, dict):
                return JSONResponse({"problems": ["the request must be a table"]}, 400)
        return await run_in_threadpool(_told, work, asked)

    return route


def _told(work: Callable[[dict[str, Any]], dict[str, Any]], asked: dict[str, Any]) -> Response:
    """The answer of `work`, or its mistakes with the status that fits."""
    try:
        return JSONResponse(_finite(work(asked)))
    except ConflictError:
        words = "the file has been changed outside this page since it was read"
        return JSONResponse({"problems": [words]}, 409)
    except JobError as error:
        return JSONResponse({"problems": error.problems}, 422)


def _units(request: Request) -> System:
    return "si" if request.query_params.get("units") == "si" else "us"


def _finite(value: Any) -> Any:
    """Numbers that JSON has not, as null."""
    if isinstance(value, dict):
        return {key: _finite(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(inner) for inner in value]
    if isinstance(value, float) and not abs(value) < float("inf"):
        return None
    return value


def _card(folder: Folder, name: str) -> str:
    """The card of a job file, as `loop card` writes it."""
    from loop.card import card, to_html
    from loop.diagnose import prepare
    from loop.job import parse_toml
    from loop.sheet.compose import sheet

    text = folder.read(name).text
    folder.guard(text)
    job = parse_toml(text, name, folder.root)
    return to_html(card(prepare(job), sheet(job)))


def _sheet(folder: Folder, text: str, form: str) -> bytes:
    """The job sheet of a text, as ``pdf`` or ``html``."""
    from loop.job import parse_toml
    from loop.sheet import to_html, to_pdf
    from loop.sheet.compose import sheet

    if form not in ("pdf", "html"):
        raise JobError(["a sheet is pdf or html"])
    folder.guard(text)
    content = sheet(parse_toml(text, "job", folder.root))
    return to_pdf(content) if form == "pdf" else to_html(content).encode("utf-8")
