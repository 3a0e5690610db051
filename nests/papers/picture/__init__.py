"""Pictures of a holder without a display: rays, one soft light, thin ink lines, a true section.

Input is plain arrays (`Shown`), so that anything with triangles can be drawn. The picture plane
is orthographic: a length parallel to it measures the same everywhere, hence the scale bar.
Rays are traced in float32, whose numbers near 100 mm lie 10 nm apart. The same input gives the same
bytes: sampling directions are fixed, and the only font is the one embedded in Pillow.

Coordinates are the holder frame in mm: z up from the bench, 12 h at +y. +x lies at 3 h with the
dial up and at 9 h with the bridge side up. Importing this package loads numpy and nothing heavier.
"""

from nests.papers.picture.fields import field_picture
from nests.papers.picture.labels import render
from nests.papers.picture.meshes import cut
from nests.papers.picture.pages import exploded_picture, holder_picture
from nests.papers.picture.values import SECTION, Shown, View

__all__ = [
    "SECTION",
    "Shown",
    "View",
    "cut",
    "exploded_picture",
    "field_picture",
    "holder_picture",
    "render",
]
