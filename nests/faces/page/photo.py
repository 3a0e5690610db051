"""The photograph under the plan: read as a picture, written anew without anything but its pixels.

It lies beside the work, one for each side, and goes to the browser of this machine only. How it
lies is kept with it: two points of its edge were clicked that lie on the ⌀, opposite each other.
"""

from __future__ import annotations

import io
import json
import math
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PIL import Image, ImageOps, UnidentifiedImageError

from nests.documents.files import canonical, write_file
from nests.places import Side, at_hour, read_place
from nests.units import BadInput, Hour

MOST_PIXELS = 60_000_000
"""Pixels of a photograph that is read: a picture may be small as a file and vast when opened."""
SIDE = 1800
"""Pixels to which the longer side is made smaller: more than a screen shows of a plan."""
KINDS = ("JPEG", "PNG", "WEBP", "TIFF", "BMP")


@dataclass(frozen=True)
class Laid:
    """How a photograph lies: mm of a pixel, its middle on the plan as it is looked at, its turn in
    degrees clockwise on the paper."""

    scale: float
    x: float
    y: float
    turn: float


class Photos:
    """The photographs of a bench."""

    def __init__(self, folder: Path) -> None:
        """In the folder of the work."""
        self.folder = folder

    def _path(self, side: Side, ending: str) -> Path:
        return self.folder / f"photograph-{side.value}.{ending}"

    def take(self, side: Side, content: bytes) -> tuple[int, int]:
        """Keep a photograph. Returns its width and height in pixels. Raises `BadInput`."""
        plain = without_metadata(content)
        write_file(self._path(side, "png"), plain)
        self._path(side, "json").unlink(missing_ok=True)
        with Image.open(io.BytesIO(plain)) as picture:
            return picture.size

    def drop(self, side: Side) -> None:
        """Take it away."""
        for ending in ("png", "json"):
            self._path(side, ending).unlink(missing_ok=True)

    def picture(self, side: Side) -> bytes | None:
        """The photograph as PNG; None where there is none."""
        path = self._path(side, "png")
        return path.read_bytes() if path.is_file() else None

    def lay(self, side: Side, asked: Mapping[str, Any], diameter: float) -> Laid:
        """Lay it by two points of its edge, in pixels, that lie on the ⌀ opposite each other, the
        first of them at an hour. Raises `BadInput`."""
        content = self.picture(side)
        if content is None:
            raise BadInput("there is no photograph of this side.")
        with Image.open(io.BytesIO(content)) as picture:
            wide, high = picture.size
        points = asked.get("points")
        try:
            (ax, ay), (bx, by) = ((float(x), float(y)) for x, y in points)  # type: ignore[union-attr]
            hour: Hour = float(asked.get("hour", 12.0))
        except (TypeError, ValueError):
            raise BadInput("two points of the photograph are needed, and an hour.") from None
        laid = laid_by((ax, ay), (bx, by), (wide, high), hour, diameter, side)
        write_file(self._path(side, "json"), canonical(vars(laid)))
        return laid

    def laid(self, side: Side) -> dict[str, float] | None:
        """How it lies, if that was said."""
        path = self._path(side, "json")
        if not path.is_file():
            return None
        found = json.loads(path.read_text())
        with Image.open(self._path(side, "png")) as picture:
            wide, high = picture.size
        out = {key: float(found[key]) for key in ("scale", "x", "y", "turn")}
        return {**out, "wide": wide, "high": high, "version": path.stat().st_mtime_ns}


def laid_by(
    first: tuple[float, float], second: tuple[float, float], size: tuple[int, int], hour: Hour,
    diameter: float, side: Side,
) -> Laid:  # fmt: skip
    """How a picture lies whose points `first` and `second` (pixels, y down) are the ends of the ⌀
    at an hour and opposite. Raises `BadInput` for points that are one.

    >>> laid_by((50, 0), (50, 100), (100, 100), 12.0, 20.0, Side.DIAL)
    Laid(scale=0.2, x=0.0, y=0.0, turn=0.0)
    """
    dx, dy = first[0] - second[0], first[1] - second[1]
    apart = math.hypot(dx, dy)
    if not (8.0 < apart < math.inf and math.isfinite(hour)):
        raise BadInput("the two points are as good as one; click two opposite points of the edge.")
    scale = diameter / apart
    wanted = at_hour(hour, 1.0)
    seen = read_place(wanted.x, wanted.y, side)  # its own inverse
    turn = math.atan2(-seen.y, seen.x) - math.atan2(dy, dx)
    cos, sin = math.cos(turn), math.sin(turn)
    mx, my = size[0] / 2 - (first[0] + second[0]) / 2, size[1] / 2 - (first[1] + second[1]) / 2
    x, y = (mx * cos - my * sin) * scale, -(mx * sin + my * cos) * scale
    degrees = math.degrees(turn)
    degrees -= 360.0 * round(degrees / 360.0)
    return Laid(scale, round(x, 6) + 0.0, round(y, 6) + 0.0, round(degrees, 6) + 0.0)


def without_metadata(content: bytes) -> bytes:
    """The pixels of a picture, upright, as PNG: no place, no camera, no time, no comment. Raises
    `BadInput` for what is no picture."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=KINDS) as picture:
                if picture.width * picture.height > MOST_PIXELS:
                    raise BadInput(
                        f"the photograph has {picture.width} x {picture.height} pixels; at most "
                        f"{MOST_PIXELS // 1_000_000} millions are read."
                    )
                upright = ImageOps.exif_transpose(picture).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, EOFError, MemoryError,
            Image.DecompressionBombError, Image.DecompressionBombWarning):  # fmt: skip
        raise BadInput(f"this is no photograph that can be read: {', '.join(KINDS)}.") from None
    upright.thumbnail((SIDE, SIDE))
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    out = io.BytesIO()
    bare.save(out, "PNG")
    return out.getvalue()
