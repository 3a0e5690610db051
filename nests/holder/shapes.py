"""Shapes of parts that were asked for lately: of a holder that is changed, most are the same."""

from __future__ import annotations

import atexit
from collections import deque

from nests.parts.answers import Shape
from nests.parts.base import Part
from nests.parts.site import Site

SITES = 6
"""Sites whose parts are remembered; a search goes to and fro between a few."""

_lately: deque[tuple[Site, dict[Part, Shape]]] = deque(maxlen=SITES)
atexit.register(_lately.clear)  # see `solid.remembered`


def shape_of(part: Part, site: Site) -> Shape:
    """`part.shape(site)`, worked out once. Raises as that does."""
    lately = tuple(_lately)  # another thread may add to them meanwhile
    known = next((shapes for each, shapes in lately if each is site or each == site), None)
    if known is None:
        known = {}
        _lately.append((site, known))
    if part not in known:
        known[part] = part.shape(site)
    return known[part]
