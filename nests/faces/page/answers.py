"""What every answer of the server has in common: what was sent, and what cannot be used."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from nests.units import BadInput

MOST_JSON = 4_000_000
"""Bytes of a change; a sheet has some thousands."""


def missing() -> Response:
    """The answer to an address of nothing."""
    return Response("There is nothing of that name here.\n", 404, media_type="text/plain")


def whole(request: Request, key: str) -> int:
    """A whole number of the address; -1 for none."""
    text = request.query_params.get(key, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 12 else -1


async def json_of(request: Request) -> dict[str, Any]:
    """The object that was sent. Raises `BadInput`."""
    content = await request.body()
    if len(content) > MOST_JSON:
        raise BadInput(f"{len(content)} bytes were sent; at most {MOST_JSON} are read.")
    try:
        found = json.loads(content, parse_constant=_no_number)
        json.dumps(found, ensure_ascii=False).encode("utf-8")  # halves of characters
    except (ValueError, RecursionError):
        raise BadInput("what was sent is not JSON, or no text.") from None
    if not isinstance(found, dict):
        raise BadInput("what was sent is no JSON object.")
    return found


def _no_number(text: str) -> float:
    raise ValueError(text)  # NaN and its like are no JSON, and would come to stand in a document


def in_a_sentence(answer: Callable[[Request], Any]) -> Callable[[Request], Any]:
    """An answer that says in one sentence what cannot be used."""

    async def guarded(request: Request) -> Response:
        try:
            found: Response = await answer(request)
            return found
        except BadInput as bad:
            return JSONResponse({"faults": bad.faults}, 400)

    return guarded
