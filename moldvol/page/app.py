"""The page put together: its addresses, its gate, and the server that runs it."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import quote

from fastapi import Request, Response
from fastapi.responses import HTMLResponse, PlainTextResponse, RedirectResponse
from nicegui import app, background_tasks, ui
from starlette.requests import ClientDisconnect

from moldvol.casting.pour_book import PourBook
from moldvol.errors import MoldvolError
from moldvol.materials.shelf import Shelf
from moldvol.page.access import Doorkeeper
from moldvol.page.guard import Guard
from moldvol.page.hand import prepare
from moldvol.page.job import Job
from moldvol.page.jobs import SWEEP_S, Jobs
from moldvol.page.tabs import BY_KEY
from moldvol.page.uploads import USUAL_LIMIT_BYTES, TooLarge, land, limit_sentence, shown_name
from moldvol.page.views.page_view import PageView, no_such_job

NO_STORE = {"Cache-Control": "no-store"}
TITLE = "moldvol bench"
ICON = Path(__file__).with_name("icon.svg")
STYLE = Path(__file__).with_name("style.css")
# What a phone's browser may need to come back after a lost connection without losing its place.
RECONNECT_S = 20.0


@dataclass(frozen=True, slots=True)
class Bench:
    """Everything a running page has: its jobs, its shelf and book, who may come in, and under which names."""

    jobs: Jobs
    shelf: Shelf
    book: PourBook
    hosts: frozenset[str]
    doorkeeper: Doorkeeper = field(default_factory=Doorkeeper)
    limit_bytes: int = USUAL_LIMIT_BYTES
    invitation: Callable[[str], str] | None = None


def serve(bench: Bench, *, host: str, port: int, started: Callable[[], None]) -> None:
    """Run the page until it is stopped; *started* is called when it answers."""
    app.add_middleware(Guard, hosts=bench.hosts, doorkeeper=bench.doorkeeper)
    _route_page(bench)
    _route_upload(bench)
    _route_pictures(bench)
    _route_sheet(bench)
    app.on_startup(prepare)
    app.on_startup(started)
    app.on_startup(lambda: background_tasks.create(_sweep(bench.jobs)))
    app.on_shutdown(bench.jobs.close)
    ui.run(
        host=host,
        port=port,
        title=TITLE,
        dark=None,
        language="en-US",
        reload=False,
        show=False,
        tailwind=False,
        show_welcome_message=False,
        reconnect_timeout=RECONNECT_S,
        favicon=ICON,
    )


async def _sweep(jobs: Jobs) -> None:
    import asyncio

    while True:
        await asyncio.sleep(SWEEP_S)
        jobs.sweep()


def _route_page(bench: Bench) -> None:
    @app.get("/")
    def new_job() -> Response:
        return RedirectResponse(f"/job/{bench.jobs.open().session.key}", 303, NO_STORE)

    @app.post("/job")
    def another_job() -> Response:
        return PlainTextResponse(f"/job/{bench.jobs.open().session.key}", 201, NO_STORE)

    @ui.page("/job/{key}")
    def page(key: str) -> None:
        ui.add_css(STYLE.read_text(encoding="utf-8"))
        job = bench.jobs.get(key)
        if job is None:
            no_such_job()
        else:
            PageView(job, bench.shelf, bench.book, bench.limit_bytes, bench.invitation)


def _route_upload(bench: Bench) -> None:
    @app.post("/job/{key}/file")
    async def take_file(key: str, request: Request) -> Response:
        job = bench.jobs.get(key)
        if job is None:
            return PlainTextResponse("This job was put away; open the bench anew.", 404)
        if not bench.jobs.make_room(job):
            return PlainTextResponse("The bench is full; close a page that is not needed and try again.", 503)
        return await _taken(job, request, bench.limit_bytes)


def _route_pictures(bench: Bench) -> None:
    @app.get("/job/{key}/view/{number}.glb")
    def view(key: str, number: int) -> Response:
        job = bench.jobs.get(key)
        if job is None or job.session.view is None:
            return _nothing()
        return Response(job.session.view.content, media_type="model/gltf-binary", headers=NO_STORE)

    @app.get("/job/{key}/core/{number}.glb")
    def core(key: str, number: int) -> Response:
        job = bench.jobs.get(key)
        if job is None or job.session.core is None:
            return _nothing()
        return Response(job.session.core, media_type="model/gltf-binary", headers=NO_STORE)

    @app.get("/job/{key}/sides.png")
    async def sides(key: str) -> Response:
        job = bench.jobs.get(key)
        with suppress(MoldvolError):
            if job is not None and job.session.part is not None:
                return Response(await job.sides(), media_type="image/png", headers=NO_STORE)
        return _nothing()


def _route_sheet(bench: Bench) -> None:
    @app.get("/job/{key}/sheet/{tab}")
    async def sheet(key: str, tab: str) -> Response:
        job = bench.jobs.get(key)
        if job is None or tab not in BY_KEY or not BY_KEY[tab].of_part:
            return _nothing()
        try:
            html = await job.sheet(tab)
        except MoldvolError as error:
            return PlainTextResponse(f"{error.message}\n", 409)
        name = quote(f"{Path(job.session.part.name).stem if job.session.part else 'part'}-{tab}.html")
        return HTMLResponse(html, headers={**NO_STORE, "Content-Disposition": f"inline; filename*=UTF-8''{name}"})


async def _taken(job: Job, request: Request, limit_bytes: int) -> Response:
    name = shown_name(request.headers.get("x-file-name", ""))
    announced = request.headers.get("content-length", "")
    size = int(announced) if announced.isascii() and announced.isdecimal() else None
    if size is not None and size > limit_bytes:
        return PlainTextResponse(limit_sentence(name, size, limit_bytes), 413)
    try:
        path = await land(request.stream(), job.folder, limit_bytes)
    except TooLarge:
        return PlainTextResponse(limit_sentence(name, None, limit_bytes), 413)
    except ClientDisconnect:
        return Response(status_code=499)
    if job.session.work is not None:
        job.cancel()
    background_tasks.create(job.load(path, name))
    return Response(status_code=204)


def _nothing() -> Response:
    return PlainTextResponse("There is nothing here.\n", 404)
