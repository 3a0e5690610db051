"""Components and cycles against those of a general library, scipy.sparse.csgraph."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from nests.solids.graphs import connected, cycles


@settings(max_examples=60, deadline=None)
@given(count=st.integers(1, 300), edges=st.integers(0, 400), seed=st.integers(0, 10**6))
def test_connected_is_that_of_a_general_library(count: int, edges: int, seed: int) -> None:
    one, two = np.random.default_rng(seed).integers(0, count, (2, edges))
    number, label = connected(count, one, two)
    graph = coo_array((np.ones(edges), (one, two)), shape=(count, count))
    expected, labels = connected_components(graph.tocsr(), directed=False)
    assert number == expected
    # one number of ours for each of theirs: the pairs are as many as the components
    assert len(np.unique(np.column_stack((label, labels)), axis=0)) == number
    firsts = np.unique(label, return_index=True)[1]
    assert (np.diff(firsts) > 0).all()


def test_a_long_path_in_any_order_is_one_component() -> None:
    order = np.random.default_rng(0).permutation(100_000)
    for path in (order, np.arange(100_000), np.arange(100_000)[::-1]):
        assert connected(len(path), path[:-1], path[1:])[0] == 1


@settings(max_examples=60, deadline=None)
@given(lengths=st.lists(st.integers(1, 70), min_size=1, max_size=12), seed=st.integers(0, 10**6))
def test_cycles_lead_to_their_first_node_in_as_many_steps(lengths: list[int], seed: int) -> None:
    nodes = np.random.default_rng(seed).permutation(sum(lengths)).astype(np.int32)
    following = np.empty_like(nodes)
    for piece in np.split(nodes, np.cumsum(lengths)[:-1]):
        following[piece] = np.roll(piece, -1)
    first, ahead = cycles(following)
    for piece in np.split(nodes, np.cumsum(lengths)[:-1]):
        assert (first[piece] == piece.min()).all()
        assert sorted(ahead[piece]) == list(range(len(piece)))
    # walked one by one
    at = np.arange(len(nodes))
    for step in range(max(lengths)):
        there = ahead == step
        assert (at[there] == first[there]).all()
        at = following[at]


@pytest.mark.parametrize("count", [0, 3])
def test_no_edges_and_no_steps(count: int) -> None:
    nothing = np.empty(0, dtype=np.int64)
    number, label = connected(count, nothing, nothing)
    assert number == count
    assert label.tolist() == list(range(count))
    first, ahead = cycles(np.arange(count, dtype=np.int32))
    assert first.tolist() == list(range(count))
    assert not ahead.any()
