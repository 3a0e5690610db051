"""The technical drawing of a holder: measured on its solid, one model, written as DXF, SVG, PDF.

`model(holder)` makes the drawing; `dxf`, `svg` and `pdf` write it; `turned_dxf(holder)` is the
half-profile for a turner. The same holder gives the same bytes. Importing this package loads
numpy and nothing heavier; ezdxf, shapely and embreex are loaded when they are needed.
"""

from nests.papers.drawing.dxf import dxf
from nests.papers.drawing.layout import model
from nests.papers.drawing.pdf import pdf
from nests.papers.drawing.svg import svg
from nests.papers.drawing.turned import turned_dxf
from nests.papers.drawing.values import Dimension, Drawing

__all__ = ["Dimension", "Drawing", "dxf", "model", "pdf", "svg", "turned_dxf"]
