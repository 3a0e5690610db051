"""Heights of level faces, printed in whole layers.

Closed form: a layer is exposed where the solid stands at its mid-height, so a block of height h has
as many layers as there are numbers (i + 1/2)·layer below h; a tie goes down.
"""

from __future__ import annotations

import pytest
from manifold3d import Manifold

from nests.given.printer_card import rounding
from nests.layers.slices import slice_solid


@pytest.mark.parametrize("layer", [0.02, 0.03, 0.05, 0.1])
@pytest.mark.parametrize("height", [1.0, 2.337, 4.6, 6.42, 7.981])
def test_rounding_is_what_the_layers_of_a_block_show(height, layer):
    stack = slice_solid(Manifold.cube((4.0, 4.0, height)), layer)
    printed = int((stack.areas > 0.0).sum()) * layer
    assert rounding(height, layer) == pytest.approx(printed - height, abs=1e-9)


@pytest.mark.parametrize("count", [1, 7, 92, 154, 155, 400])
@pytest.mark.parametrize("noise", [-1e-6, 0.0, 1e-6])
@pytest.mark.parametrize("layer", [0.02, 0.03, 0.05, 0.1])
def test_a_face_at_mid_layer_goes_down_in_the_layers_too(layer, count, noise):
    """Whichever way it looks: a lid over a void at a tie is printed the layer below, too."""
    height = (count + 0.5) * layer + noise
    block = Manifold.cube((4.0, 4.0, height))
    assert len(slice_solid(block, layer).heights) == count
    assert rounding(height, layer) == pytest.approx(-layer / 2, abs=2e-6)
    lid = block.translate((4.0, 0.0, 0.0)) + Manifold.cube((4.0, 4.0, 5 * layer)).translate(
        (0.0, 0.0, height)
    )
    whole = slice_solid(block.translate((-4.0, 0.0, 0.0)) + lid, layer)
    assert whole.areas[count] == pytest.approx(16.0, rel=1e-9)


@pytest.mark.parametrize("layer", [0.02, 0.05])
def test_rounding_never_exceeds_half_a_layer(layer):
    errors = [rounding(1.0 + 0.00137 * k, layer) for k in range(500)]
    assert max(map(abs, errors)) <= layer / 2 + 1e-9
    assert min(errors) < -0.4 * layer
    assert max(errors) > 0.4 * layer
