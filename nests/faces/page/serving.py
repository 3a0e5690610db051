"""The server: what is asked for by which address, and nothing else. It listens on this machine."""

from __future__ import annotations

import json
import secrets
import socket
from collections.abc import Callable
from pathlib import Path
from typing import Any

import uvicorn
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from nests.documents.folders import LIST
from nests.faces.page import paper, section, tasks
from nests.faces.page.bench import Behind, Bench
from nests.faces.page.guard import Guard
from nests.faces.page.photo import Photos
from nests.faces.page.shelf import Shelf
from nests.letters.fonts import own_folder
from nests.orders import shown, shown_plan
from nests.orders.pack import slug
from nests.places import Side
from nests.units import BadInput

LONGEST_WAIT = 20.0
"""Seconds a page waits for news before it asks again."""
MOST_JSON = 4_000_000
"""Bytes of a change; a sheet has some thousands."""
STATIC = {
    "paper.css": "text/css", "mark.svg": "image/svg+xml", "bench.js": "text/javascript",
    "plan.js": "text/javascript", "solid.js": "text/javascript", "swap.js": "text/javascript",
    "job.js": "text/javascript", "drawer.js": "text/javascript", "photo.js": "text/javascript",
}  # fmt: skip
FONTS = {"regular": "SourceSansPro-Regular.ttf", "semibold": "SourceSansPro-Semibold.ttf",
         "italic": "SourceSansPro-It.ttf"}  # fmt: skip


class Serving:
    """The answers to every address."""

    def __init__(self, bench: Bench) -> None:
        """Answer about a bench."""
        self.bench, self.shelf = bench, Shelf(bench.drawer)
        self.photos = Photos(bench.journal.folder)

    def application(self) -> Starlette:
        """All addresses there are."""
        get = [
            ("/", self.drawing), ("/static/{name}", self.static), ("/font/{name}", self.font),
            ("/news", self.news), ("/slip", self.slip), ("/section", self.section),
            ("/scene", self.scene), ("/laid", self.laid), ("/start", self.start),
            ("/pack/{name}/{file}", self.file),
            ("/job", self.job), ("/job/{file}", self.job_file), ("/drawer", self.drawer),
            ("/drawer/labels", self.labels), ("/photo/{side}", self.photo),
            ("/photo/{side}/laid", self.photo_laid),
        ]  # fmt: skip
        post = [("/change", self.change), ("/pack", self.pack), ("/leave", self.leave),
                ("/job", self.plan), ("/drawer", self.deed), ("/photo/{side}", self.photo_taken),
                ("/photo/{side}/{deed}", self.photo_deed)]  # fmt: skip
        routes = [Route(path, _told(answer), methods=["GET"]) for path, answer in get]
        routes += [Route(path, _told(answer), methods=["POST"]) for path, answer in post]
        return Starlette(routes=routes)

    def _told(self, side: Side = Side.DIAL, **more: Any) -> dict[str, Any]:
        state = self.bench.state
        return {
            "serial": state.serial, "version": self.bench.version, "shape": state.shape,
            "pieces": paper.pieces(self.bench, side), "did": state.work.did, **more,
        }  # fmt: skip

    async def drawing(self, request: Request) -> Response:
        """The page."""
        told = await run_in_threadpool(self._told)
        return HTMLResponse(paper.filled(
            "drawing.html", title=told["did"], view="drawing", module="bench.js",
            serial=told["serial"], version=told["version"], fragments=told["pieces"],
            names=paper.PIECES,
        ))  # fmt: skip

    async def static(self, request: Request) -> Response:
        """A file of the page, by a name that is on the list."""
        name = request.path_params["name"]
        if name not in STATIC:
            return _missing()
        return FileResponse(Path(__file__).parent / "static" / name, media_type=STATIC[name])

    async def font(self, request: Request) -> Response:
        """A face of the font that comes with the program."""
        name = request.path_params["name"]
        if name not in FONTS:
            return _missing()
        return FileResponse(own_folder() / FONTS[name], media_type="font/ttf")

    async def news(self, request: Request) -> Response:
        """What is shown, once it is another than the page knows."""
        version = _whole(request, "version")
        await run_in_threadpool(self.bench.wait, version, LONGEST_WAIT)
        if self.bench.version == version:
            return JSONResponse({"same": True})
        side = section.side_of(request.query_params.get("side", ""))
        return JSONResponse(await run_in_threadpool(self._told, side))

    async def change(self, request: Request) -> Response:
        """A change of the work; the state after it, or what is to be said against it."""
        asked = await _json(request)
        return JSONResponse(await run_in_threadpool(self._changed, asked))

    def _changed(self, asked: dict[str, Any]) -> dict[str, Any]:
        side = section.side_of(str(asked.get("side", "")))
        try:
            self.bench.change(asked)
        except Behind as behind:
            return self._told(side, behind=str(behind))
        except BadInput as bad:
            return self._told(side, faults=bad.faults)
        return self._told(side)

    async def slip(self, request: Request) -> Response:
        """The slip of what is pointed at."""
        ask = request.query_params
        side = section.side_of(ask.get("side", ""))
        try:
            if "new" in ask:
                text = await run_in_threadpool(
                    paper.draft_at, self.bench, ask["new"], side, ask.get("shape", "")
                )
            else:
                text = await run_in_threadpool(paper.slip_at, self.bench, ask.get("at", ""), side)
        except BadInput:
            text = await run_in_threadpool(paper.slip_at, self.bench, "", side)
        return HTMLResponse(text)

    async def section(self, request: Request) -> Response:
        """The cut along an hour."""
        hour = request.query_params.get("hour")
        return HTMLResponse(await run_in_threadpool(self._section, hour))

    def _section(self, text: str | None) -> str:
        state, sheet = self.bench.state, paper.sheet_of(self.bench.state)
        if state.trial is None or sheet is None:
            return paper.filled("section.html", cut=None)
        try:
            hour = float(text or "nan") % 12.0
        except ValueError:
            hour = float("nan")
        hour = section.best_hour(state.trial) if hour != hour else hour
        cut = section.cut(state.trial, sheet, self.bench.pieces, hour)
        return paper.filled("section.html", cut=cut)

    async def scene(self, request: Request) -> Response:
        """The triangles of the holder."""
        trial, content = self.bench.state.trial, b""
        if trial is not None:
            content = await run_in_threadpool(shown.holder_scene, trial.holder)
        self.bench.seen.set()
        return Response(content, media_type="application/octet-stream")

    async def laid(self, request: Request) -> Response:
        """The triangles of what lies in it."""
        pieces, content = self.bench.pieces, b""
        if self.bench.state.trial is not None:
            content = await run_in_threadpool(shown.pieces_scene, pieces)
        return Response(content, media_type="application/octet-stream")

    async def start(self, request: Request) -> Response:
        """What is asked where something else is to be begun."""
        return HTMLResponse(paper.start(True))

    async def pack(self, request: Request) -> Response:
        """Make the pack of the work, and write it beside the work."""
        papers = (await _json(request)).get("papers") is not False
        work, packs = self.bench.state.work, self.bench.journal.folder / "packs"
        self.bench.run("packing", (work, packs, papers), tasks.packing)
        return JSONResponse({})

    async def leave(self, request: Request) -> Response:
        """End what a helper is at."""
        self.bench.leave()
        return JSONResponse({})

    async def file(self, request: Request) -> Response:
        """A file of the pack that was made last, by names that are on its list."""
        step = self.bench.errand.get("step")
        if self.bench.errand.get("kind") != "packing" or not step:
            return _missing()
        name, _, listed = step
        wanted = request.path_params["file"]
        if request.path_params["name"] != name or wanted not in (*listed, LIST):
            return _missing()
        path = self.bench.journal.folder / "packs" / name / wanted
        return FileResponse(path, filename=wanted, media_type="application/octet-stream")

    async def job(self, request: Request) -> Response:
        """The page of the job."""
        text = await run_in_threadpool(paper.job, self.bench)
        return HTMLResponse(paper.filled("job.html", title="job", view="job", module="job.js",
                                         job=text, version=self.bench.version))  # fmt: skip

    async def plan(self, request: Request) -> Response:
        """Plan the job, or write it beside the work."""
        asked = await _json(request)
        name = str(asked.get("plan") or "")
        target = None
        if asked.get("write"):
            target = self.bench.journal.folder / "jobs" / slug(name)
        work = self.bench.state.work
        self.bench.run("planning", (work, name, self.bench.drawer, target), tasks.planning)
        return JSONResponse({})

    async def job_file(self, request: Request) -> Response:
        """The chart of the last plan, and of what was written two papers."""
        made = paper.plan_made(self.bench)
        wanted = request.path_params["file"]
        if made is None:
            return _missing()
        _, _, chart, target = made
        if wanted == "coverage.svg":
            return Response(chart, media_type="image/svg+xml")
        if target is None or wanted not in ("job-sheet.pdf", "plan.html"):
            return _missing()
        return FileResponse(target / wanted, filename=wanted)

    async def drawer(self, request: Request) -> Response:
        """The page of the drawer."""
        text = await run_in_threadpool(self._drawer, {})
        return HTMLResponse(paper.filled("drawer.html", title="drawer", view="drawer",
                                         module="drawer.js", drawer=text))  # fmt: skip

    def _drawer(self, told: dict[str, Any]) -> str:
        return paper.filled("drawer_piece.html", **self.shelf.values(self.bench.state, told))

    async def deed(self, request: Request) -> Response:
        """A deed at the drawer, and the drawer after it."""
        asked = await _json(request)
        try:
            told = await run_in_threadpool(self.shelf.do, asked, self.bench.state)
        except BadInput as bad:
            return JSONResponse({"faults": bad.faults})
        piece = await run_in_threadpool(self._drawer, told)
        return JSONResponse({"piece": piece, "says": told.get("says", "")})

    async def labels(self, request: Request) -> Response:
        """Map and labels of the drawer."""
        content = await run_in_threadpool(self.shelf.labels)
        return Response(content, media_type="application/pdf")

    async def photo(self, request: Request) -> Response:
        """The photograph of a side."""
        content = self.photos.picture(section.side_of(request.path_params["side"]))
        if content is None:
            return Response(status_code=204)
        return Response(content, media_type="image/png")

    async def photo_laid(self, request: Request) -> Response:
        """How it lies under the plan."""
        side = section.side_of(request.path_params["side"])
        return JSONResponse({"laid": self.photos.laid(side)})

    async def photo_taken(self, request: Request) -> Response:
        """Take a photograph in."""
        side = section.side_of(request.path_params["side"])
        content = await request.body()
        await run_in_threadpool(self.photos.take, side, content)
        return JSONResponse({})

    async def photo_deed(self, request: Request) -> Response:
        """Lay it by two points, or drop it."""
        side, deed = section.side_of(request.path_params["side"]), request.path_params["deed"]
        if deed == "drop":
            self.photos.drop(side)
            return JSONResponse({})
        sheet = paper.sheet_of(self.bench.state)
        if deed != "lay" or sheet is None:
            raise BadInput("there is no plan to lay it under.")
        across = 2 * shown_plan.reaches(sheet)
        self.photos.lay(side, await _json(request), across)
        return JSONResponse({})


def _missing() -> Response:
    return Response("There is nothing of that name here.\n", 404, media_type="text/plain")


def _whole(request: Request, key: str) -> int:
    text = request.query_params.get(key, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 12 else -1


async def _json(request: Request) -> dict[str, Any]:
    """The object that was sent. Raises `BadInput`."""
    content = await request.body()
    if len(content) > MOST_JSON:
        raise BadInput(f"{len(content)} bytes were sent; at most {MOST_JSON} are read.")
    try:
        found = json.loads(content)
        json.dumps(found, ensure_ascii=False).encode("utf-8")  # halves of characters
    except (ValueError, RecursionError):
        raise BadInput("what was sent is not JSON, or no text.") from None
    if not isinstance(found, dict):
        raise BadInput("what was sent is no JSON object.")
    return found


def _told(answer: Callable[[Request], Any]) -> Callable[[Request], Any]:
    """An answer that says in one sentence what cannot be used."""

    async def guarded(request: Request) -> Response:
        try:
            found: Response = await answer(request)
            return found
        except BadInput as bad:
            return JSONResponse({"faults": bad.faults}, 400)

    return guarded


class Open:
    """A server that is open: its address with the token; `run` serves until it is told to end."""

    def __init__(self, bench: Bench, port: int = 0) -> None:
        """Take a port, a free one for 0. Raises `BadInput`."""
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            self.socket.bind(("127.0.0.1", port))
            self.socket.listen(64)  # whoever is told the address may come at once
        except (OSError, OverflowError) as error:
            self.socket.close()
            raise BadInput(f"port {port} cannot be used here: {error}.") from None
        self.port = self.socket.getsockname()[1]
        token = secrets.token_urlsafe(24)
        self.address = f"http://127.0.0.1:{self.port}/?token={token}"
        guarded = Guard(Serving(bench).application(), self.port, token)
        config = uvicorn.Config(
            guarded, log_level="error", access_log=False, lifespan="off", server_header=False,
            ws="none", timeout_graceful_shutdown=1, proxy_headers=False,
        )  # fmt: skip
        self.server, self.bench = uvicorn.Server(config), bench

    def run(self) -> None:
        """Serve until told to end."""
        try:
            self.server.run(sockets=[self.socket])
        finally:
            self.bench.close()
            self.socket.close()
