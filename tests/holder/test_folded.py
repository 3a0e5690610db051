"""A holder's solid is the body with every part cut and put to it in turn, whatever was kept."""

from __future__ import annotations

import numpy as np
import pytest

from nests.documents.files import data_folder
from nests.holder import folded
from nests.holder.compose import Holder, compose
from nests.holder.recipe import Recipe
from nests.orders.gallery import Piece
from tests.ordering import preferred
from tests.pieces import every

GALLERY = data_folder("gallery")


def recipe_of(piece: Piece) -> Recipe:
    path = GALLERY / "sheets" / f"{piece.sheet}.json" if piece.sheet else None
    made = preferred(piece.family, piece.options, sheet=path, operation=piece.operation)
    return made.recipe


def in_turn(holder: Holder):
    """The same by the kernel alone, one operation after the other (manifold3d, Manifold)."""
    solid = holder.laid[0].shape.adds
    for each in holder.laid[1:]:
        if each.shape.cuts is not None:
            solid = solid - each.shape.cuts
        if each.shape.adds is not None:
            solid = solid + each.shape.adds
    return solid


def faces(holder: Holder) -> tuple[bytes, bytes, list[str]]:
    mesh = holder.mesh
    return (
        mesh.vertices.tobytes(),
        mesh.faces.tobytes(),
        [holder.part_of(k) for k in range(len(mesh.faces))],
    )


@pytest.mark.parametrize("piece", every())
def test_it_is_what_the_parts_make_in_turn(piece: Piece):
    holder = compose(recipe_of(piece))
    other = in_turn(holder)
    assert (holder.solid - other).volume() + (other - holder.solid).volume() == pytest.approx(
        0.0, abs=1e-6
    )
    made = {holder.part_of(k) for k in np.unique(holder.mesh.makers, return_index=True)[1]}
    reference = {holder.made_by[int(m)] for m in other.to_mesh64().run_original_id}
    assert made == reference


@pytest.mark.parametrize("piece", every()[:6])
def test_what_is_remembered_changes_no_byte(piece: Piece):
    recipe = recipe_of(piece)
    folded._lately.clear()
    fresh = faces(compose(recipe))
    assert folded._lately
    again = faces(compose(recipe))
    assert fresh == again
