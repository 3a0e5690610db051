"""One mark, one calibre: what is engraved on the holders of a drawer tells their workpieces apart.

A sheet that was measured again has the same name and keeps its mark. A retired holder has left the
drawer, and with it its mark.
"""

from __future__ import annotations

from pathlib import Path

from nests.drawer.index import Index
from nests.drawer.keys import keys
from nests.drawer.shelf import read_holder
from nests.holder.recipe import Recipe
from nests.letters.engraving import as_read
from nests.units import BadInput


def require_own_mark(folder: Path, index: Index, recipe: Recipe) -> Index:
    """The index again; raises `BadInput` if a holder of another calibre has the mark of this one.

    The sentence names the sheet of the other holder.
    """
    sheet = recipe.workpiece
    name, mark = keys(sheet)
    rows = index.holders
    other = (rows["mark"] == mark) & (rows["sheet"] != name) & (rows["state"] != "retired")
    for row in other.nonzero()[0] if as_read(sheet) else ():
        kept = read_holder(folder / index.name(int(row)))
        theirs = kept.recipe.workpiece
        if theirs.name != sheet.name and as_read(theirs) == as_read(sheet):
            raise BadInput(
                f"mark of '{sheet.name}' is '{as_read(sheet)}', and {kept.id} of the sheet "
                f"'{theirs.name}' is engraved so already; two calibres of a drawer need two marks."
            )
    return index
