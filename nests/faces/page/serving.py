"""What the server answers: what is asked for by which address, and nothing else."""

from __future__ import annotations

import time
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Any

from starlette.applications import Starlette
from starlette.background import BackgroundTask
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from nests.documents.folders import LIST
from nests.faces.page import paper, section, tasks
from nests.faces.page.answers import in_a_sentence, json_of, missing, whole
from nests.faces.page.bench import Bench
from nests.faces.page.beside import Beside
from nests.faces.page.state import Behind, State
from nests.given.sheet import Sheet
from nests.letters.fonts import own_folder
from nests.orders import shown
from nests.places import Side
from nests.units import BadInput

LONGEST_WAIT = 20.0
"""Seconds a page waits for news before it asks again."""
A_WAIT = 0.5
"""Seconds after which it is looked whether a page that waits is still there."""
DRAWN = 4
"""Shapes that stay drawn: a page may ask for the one before while the next is made."""
STATIC = {
    "paper.css": "text/css", "mark.svg": "image/svg+xml", "bench.js": "text/javascript",
    "plan.js": "text/javascript", "solid.js": "text/javascript", "swap.js": "text/javascript",
    "job.js": "text/javascript", "drawer.js": "text/javascript", "photo.js": "text/javascript",
}  # fmt: skip
FONTS = {"regular": "SourceSansPro-Regular.ttf", "semibold": "SourceSansPro-Semibold.ttf",
         "italic": "SourceSansPro-It.ttf"}  # fmt: skip


@dataclass(frozen=True)
class Drawn:
    """A shape of a state as a page shows it: its number, the sheet that scales the cut, the cut
    where none is asked for, and the triangles of the holder."""

    shape: int
    sheet: Sheet | None
    cut: str
    scene: bytes


class Serving:
    """The answers to every address."""

    def __init__(self, bench: Bench) -> None:
        """Answer about a bench."""
        self.bench = bench
        self.told: tuple[int, Side, dict[str, Any]] | None = None
        self.drawn: dict[int, Drawn] = {}
        self.telling, self.drawing_it = Lock(), Lock()

    def application(self) -> Starlette:
        """All addresses there are."""
        beside = Beside(self.bench)
        get = [
            ("/", self.drawing), ("/static/{name}", self.static), ("/font/{name}", self.font),
            ("/news", self.news), ("/slip", self.slip), ("/section", self.section),
            ("/scene", self.scene), ("/laid", self.laid), ("/start", self.start),
            ("/pack/{name}/{file}", self.file), *beside.get(),
        ]  # fmt: skip
        post = [("/change", self.change), ("/pack", self.pack), ("/leave", self.leave)]
        routes = [Route(path, in_a_sentence(answer), methods=["GET"]) for path, answer in get]
        routes += [
            Route(path, in_a_sentence(answer), methods=["POST"])
            for path, answer in (*post, *beside.post())
        ]
        return Starlette(routes=routes)

    def _told(self, side: Side = Side.DIAL, **more: Any) -> dict[str, Any]:
        """All that a page shows; who changed it and who waited for news ask at the same time."""
        with self.telling:
            with self.bench.news:
                state, version = self.bench.state, self.bench.version
            if self.told is None or self.told[:2] != (version, side):
                told = {
                    "serial": state.serial, "version": version, "shape": state.shape,
                    "pieces": paper.pieces(self.bench, side), "did": state.work.did,
                }  # fmt: skip
                # what was told while it changed is not kept
                self.told = (version, side, told) if self.bench.version == version else None
                return {**told, **more}
            return {**self.told[2], **more}

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
            return missing()
        return FileResponse(Path(__file__).parent / "static" / name, media_type=STATIC[name])

    async def font(self, request: Request) -> Response:
        """A face of the font that comes with the program."""
        name = request.path_params["name"]
        if name not in FONTS:
            return missing()
        return FileResponse(own_folder() / FONTS[name], media_type="font/ttf")

    async def news(self, request: Request) -> Response:
        """What is shown, once it is another than the page knows, or the page is gone: a thread that
        waits for nobody would lack elsewhere."""
        version, end = whole(request, "version"), time.monotonic() + LONGEST_WAIT
        while self.bench.version == version and not self.bench.closed and time.monotonic() < end:
            if await request.is_disconnected():
                break
            await run_in_threadpool(self.bench.wait, version, A_WAIT)
        if self.bench.version == version:
            return JSONResponse({"same": True})
        side = section.side_of(request.query_params.get("side", ""))
        return JSONResponse(await run_in_threadpool(self._told, side))

    async def change(self, request: Request) -> Response:
        """A change of the work; the state after it, or what is to be said against it. While the
        page shows that, cut and solid are drawn, which it asks for next."""
        asked = await json_of(request)
        told = await run_in_threadpool(self._changed, asked)
        return JSONResponse(told, background=BackgroundTask(self._drawn))

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
        hour, shape = request.query_params.get("hour"), whole(request, "shape")
        return HTMLResponse(await run_in_threadpool(self._section, hour, shape))

    def _section(self, text: str | None, shape: int = -1) -> str:
        try:
            hour = float(text or "nan") % 12.0
        except ValueError:
            hour = float("nan")
        return self._drawn(shape).cut if hour != hour else _cut(self.bench.state, hour)

    def _drawn(self, shape: int = -1) -> Drawn:
        """A shape as it was drawn, if it was among the last, else the one that is there."""
        with self.drawing_it:
            state, found = self.bench.state, self.drawn.get(shape)
            if found is not None and shape != state.shape:
                return found
            sheet, found = paper.sheet_of(state), self.drawn.get(state.shape)
            if found is None or found.sheet is not sheet:
                found = _draw(state, sheet)
                while len(self.drawn) >= DRAWN:
                    self.drawn.pop(next(iter(self.drawn)))
                self.drawn[state.shape] = found
            return found

    async def scene(self, request: Request) -> Response:
        """The triangles of the holder, and of which shape they are."""
        drawn = await run_in_threadpool(self._drawn, whole(request, "shape"))
        told = {"x-shape": str(drawn.shape)}
        return Response(drawn.scene, media_type="application/octet-stream", headers=told)

    async def laid(self, request: Request) -> Response:
        """The triangles of what lies in it: asked for when the holder is seen, so judging begins
        with it."""
        state, content = self.bench.state, b""
        if state.trial is not None:
            content = await run_in_threadpool(shown.pieces_scene, state.pieces)
        self.bench.seen.set()
        return Response(content, media_type="application/octet-stream")

    async def start(self, request: Request) -> Response:
        """What is asked where something else is to be begun."""
        return HTMLResponse(paper.start(True))

    async def pack(self, request: Request) -> Response:
        """Make the pack of the work, and write it beside the work."""
        papers = (await json_of(request)).get("papers") is not False
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
            return missing()
        name, _, listed = step
        wanted = request.path_params["file"]
        if request.path_params["name"] != name or wanted not in (*listed, LIST):
            return missing()
        path = self.bench.journal.folder / "packs" / name / wanted
        return FileResponse(path, filename=wanted, media_type="application/octet-stream")


def _draw(state: State, sheet: Sheet | None) -> Drawn:
    if state.trial is None:
        return Drawn(state.shape, sheet, _cut(state, None), b"")
    cut = _cut(state, section.best_hour(state.trial))
    return Drawn(state.shape, sheet, cut, shown.holder_scene(state.trial.holder))


def _cut(state: State, hour: float | None) -> str:
    """The cut along an hour as HTML."""
    sheet = paper.sheet_of(state)
    if state.trial is None or sheet is None or hour is None:
        return paper.filled("section.html", cut=None)
    return paper.filled("section.html", cut=section.cut(state.trial, sheet, state.pieces, hour))
