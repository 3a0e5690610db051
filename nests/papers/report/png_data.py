"""A PNG as a PDF holds it: the packed rows of the one are those of the other, byte by byte."""

from __future__ import annotations

import io
import struct
from dataclasses import dataclass

_COLOURS = {0: ("/DeviceGray", 1), 2: ("/DeviceRGB", 3)}
"""Colour types of a PNG (W3C, Portable Network Graphics, 11.2.2): colour space and samples."""


@dataclass(frozen=True)
class PngData:
    """Size in pixels, packed rows (PNG filters, zlib), and colour space of 8-bit samples."""

    wide: int
    high: int
    packed: bytes
    space: str
    samples: int

    def about(self) -> str:
        """Entries of the image's dictionary (ISO 32000-1, 7.4.4.4 and 8.9.5)."""
        return (
            f"/Type /XObject /Subtype /Image /Width {self.wide} /Height {self.high} "
            f"/ColorSpace {self.space} /BitsPerComponent 8 /DecodeParms << /Predictor 15 "
            f"/Colors {self.samples} /BitsPerComponent 8 /Columns {self.wide} >>"
        )


def png_data(png: bytes) -> PngData:
    """The picture of a PNG. What a PDF cannot hold as it is, such as glass, is redrawn."""
    wide, high, depth, colour, _, _, interlaced = struct.unpack(">IIBBBBB", png[16:29])
    if depth != 8 or interlaced or colour not in _COLOURS:
        return png_data(_redrawn(png))
    packed, at = b"", 8
    while at < len(png):
        (size,) = struct.unpack(">I", png[at : at + 4])
        if png[at + 4 : at + 8] == b"IDAT":
            packed += png[at + 8 : at + 8 + size]
        at += 12 + size
    return PngData(wide, high, packed, *_COLOURS[colour])


def _redrawn(png: bytes) -> bytes:
    from PIL import Image

    with Image.open(io.BytesIO(png)) as image:
        seen = image.convert("RGBA")
    paper = Image.new("RGBA", seen.size, "white")
    out = io.BytesIO()
    Image.alpha_composite(paper, seen).convert("RGB").save(out, "PNG")
    return out.getvalue()
