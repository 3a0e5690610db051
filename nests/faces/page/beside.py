"""The sheets beside the drawing: what the server answers about job, drawer and photographs."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, Response

from nests.faces.page import paper, section, tasks
from nests.faces.page.answers import json_of, missing
from nests.faces.page.bench import Bench
from nests.faces.page.photo import Photos
from nests.faces.page.shelf import Shelf
from nests.orders import shown_plan
from nests.orders.pack import slug
from nests.units import BadInput


class Beside:
    """The answers about job, drawer and photographs."""

    def __init__(self, bench: Bench) -> None:
        """Answer about a bench."""
        self.bench, self.shelf = bench, Shelf(bench.drawer)
        self.photos = Photos(bench.journal.folder)

    def get(self) -> list[tuple[str, Any]]:
        """Addresses that are looked at."""
        return [
            ("/job", self.job), ("/job/{file}", self.job_file), ("/drawer", self.drawer),
            ("/drawer/labels", self.labels), ("/photo/{side}", self.photo),
            ("/photo/{side}/laid", self.photo_laid),
        ]  # fmt: skip

    def post(self) -> list[tuple[str, Any]]:
        """Addresses by which something is done."""
        return [
            ("/job", self.plan), ("/drawer", self.deed), ("/photo/{side}", self.photo_taken),
            ("/photo/{side}/{deed}", self.photo_deed),
        ]  # fmt: skip

    async def job(self, request: Request) -> Response:
        """The page of the job."""
        text = await run_in_threadpool(paper.job, self.bench)
        return HTMLResponse(paper.filled("job.html", title="job", view="job", module="job.js",
                                         job=text, version=self.bench.version))  # fmt: skip

    async def plan(self, request: Request) -> Response:
        """Plan the job, or write it beside the work."""
        asked = await json_of(request)
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
            return missing()
        _, _, chart, target = made
        if wanted == "coverage.svg":
            return Response(chart, media_type="image/svg+xml")
        if target is None or wanted not in ("job-sheet.pdf", "plan.html"):
            return missing()
        return FileResponse(target / wanted, filename=wanted)

    async def drawer(self, request: Request) -> Response:
        """The page of the drawer."""
        text = await run_in_threadpool(self._drawer, {})
        return HTMLResponse(paper.filled("drawer.html", title="drawer", view="drawer",
                                         module="drawer.js", drawer=text))  # fmt: skip

    def _drawer(self, told: dict[str, Any]) -> str:
        return paper.filled("drawer_piece.html", **self.shelf.values(self.bench.state, told))

    def _done(self, asked: dict[str, Any]) -> dict[str, Any]:
        return self.shelf.do(asked, self.bench.formed())

    async def deed(self, request: Request) -> Response:
        """A deed at the drawer, and the drawer after it."""
        asked = await json_of(request)
        try:
            told = await run_in_threadpool(self._done, asked)
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
        self.photos.lay(side, await json_of(request), across)
        return JSONResponse({})
