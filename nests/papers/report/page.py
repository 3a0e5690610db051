"""A report as one self-contained page that works without a network."""

from __future__ import annotations

import base64
import re
from functools import cache
from typing import TYPE_CHECKING, Any

from nests.papers.report.blocks import Block, Document

if TYPE_CHECKING:
    from jinja2 import Template


def page(report: Document) -> bytes:
    """HTML, UTF-8. The same report gives the same bytes."""
    return _template().render(report=report, kind_of=_kind, encoded=_encoded).encode()


@cache
def _template() -> Template:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("nests.papers.report", "."),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
        finalize=_bound,
    ).get_template("page.html.j2")


def _bound(value: Any) -> Any:
    """A text with its numbers bound to what follows them, most often their unit."""
    return re.sub(r"(?<=[\d±]) +(?=\S)", "\xa0", value) if type(value) is str else value


def _kind(block: Block) -> str:
    return type(block).__name__


def _encoded(png: bytes) -> str:
    return base64.b64encode(png).decode()
