"""A report as one self-contained page that works without a network."""

from __future__ import annotations

import base64
from functools import cache
from typing import TYPE_CHECKING

from nests.report.blocks import Document

if TYPE_CHECKING:
    from jinja2 import Template


def page(report: Document) -> bytes:
    """HTML, UTF-8. The same report gives the same bytes."""
    blocks = [(type(block).__name__, block) for block in report.blocks]
    return _template().render(report=report, blocks=blocks, encoded=_encoded).encode()


@cache
def _template() -> Template:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("nests.report", "."),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
    ).get_template("page.html.j2")


def _encoded(png: bytes) -> str:
    return base64.b64encode(png).decode()
