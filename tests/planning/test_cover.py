"""The smallest family against published optima and against trying everything.

Chromatic numbers: a colour class is a set of vertices without an edge, so the smallest cover of the
vertices by maximal such sets is the chromatic number.
"""

from __future__ import annotations

from itertools import combinations

import networkx as nx
import numpy as np
import pytest
from numpy.random import Generator, default_rng

from nests.planning import smallest
from nests.planning.cover import smallest_cover
from nests.planning.sets import maximal_sets
from nests.planning.smallest import smallest_family

FANO = [(0, 1, 2), (0, 3, 4), (0, 5, 6), (1, 3, 5), (1, 4, 6), (2, 3, 6), (2, 4, 5)]


def test_fano_plane_is_covered_by_three_lines() -> None:
    """The lines through one point cover the plane and two lines hold five points (any text on
    finite projective planes; C. J. Colbourn, J. H. Dinitz, Handbook of Combinatorial Designs)."""
    cover = smallest_cover([frozenset(line) for line in FANO], [1] * 7)
    assert cover.weight == 3
    assert cover.proven


@pytest.mark.parametrize("size", [3, 5, 8])
def test_greedy_choice_is_not_taken(size: int) -> None:
    """The classic trap: two rows cover 2·(2^k - 1) members; greedy choice takes k columns
    (after D. S. Johnson, J. Comput. Syst. Sci. 9 (1974) 256)."""
    columns, start = [], 0
    for k in range(1, size + 1):
        columns.append(frozenset(range(start, start + 2**k)))
        start += 2**k
    rows = [frozenset(range(parity, start, 2)) for parity in (0, 1)]
    cover = smallest_cover([*reversed(columns), *rows], [1] * (size + 2))
    assert cover.weight == 2
    assert cover.chosen == (size, size + 1)


def colours(graph: nx.Graph) -> int:
    count = graph.number_of_nodes()
    apart = ~nx.to_numpy_array(graph, dtype=bool)
    family = smallest_family(apart, lambda _: 1, seconds=60.0)
    assert family.proven
    assert not family.unserved
    assert set().union(*family.sets) == set(range(count))
    assert not any(graph.has_edge(a, b) for s in family.sets for a, b in combinations(s, 2))
    return len(family.sets)


def queens(size: int) -> nx.Graph:
    squares = [(r, c) for r in range(size) for c in range(size)]
    graph = nx.Graph()
    graph.add_nodes_from(squares)
    for (r, c), (s, d) in combinations(squares, 2):
        if r == s or c == d or abs(r - s) == abs(c - d):
            graph.add_edge((r, c), (s, d))
    return graph


@pytest.mark.parametrize(
    ("graph", "number"),
    [
        # J. A. Bondy, U. S. R. Murty, Graph Theory, 2008, chapter 14: Petersen, Grötzsch;
        # J. Mycielski, Colloq. Math. 3 (1955) 161: the k-th graph of his series needs k colours
        pytest.param(nx.petersen_graph(), 3, id="petersen"),
        pytest.param(nx.mycielski_graph(4), 4, id="groetzsch, 11 vertices"),
        pytest.param(nx.mycielski_graph(5), 5, id="mycielski 5, 23 vertices, DIMACS myciel4"),
        pytest.param(nx.complete_graph(7), 7, id="complete 7"),
        pytest.param(nx.cycle_graph(9), 3, id="odd cycle"),
        pytest.param(nx.kneser_graph(7, 2), 5, id="kneser 7,2: L. Lovász, JCT A 25 (1978) 319"),
        # DIMACS second challenge, instances queen5_5 and queen6_6 (M. Trick's list)
        pytest.param(queens(5), 5, id="queens 5x5"),
        pytest.param(queens(6), 7, id="queens 6x6"),
    ],
)
def test_chromatic_numbers(graph: nx.Graph, number: int) -> None:
    assert colours(nx.convert_node_labels_to_integers(graph)) == number


@pytest.mark.parametrize(
    "relation",
    [np.triu(np.ones((3, 3), dtype=bool)), np.ones((2, 3), dtype=bool), np.ones(3, dtype=bool)],
)
def test_a_relation_that_is_none_is_refused(relation: np.ndarray) -> None:
    """Not symmetric, not square, no matrix."""
    with pytest.raises(ValueError, match="square, symmetric"):
        list(maximal_sets(relation))


def test_maximal_sets_come_by_the_lowest_of_those_with_most_neighbours() -> None:
    """A square of four: all have as many neighbours; the first is the pivot, and its side comes
    first. Of a path of three the middle has most."""
    ring = np.eye(4, dtype=bool)
    for k in range(4):
        ring[k, (k + 1) % 4] = ring[(k + 1) % 4, k] = True
    assert [sorted(each) for each in maximal_sets(ring)] == [[0, 1], [0, 3], [1, 2], [2, 3]]
    path = np.eye(3, dtype=bool)
    path[0, 1] = path[1, 0] = path[1, 2] = path[2, 1] = True
    assert [sorted(each) for each in maximal_sets(path)] == [[0, 1], [1, 2]]


def test_maximal_sets_are_those_of_the_general_library() -> None:
    """networkx's `find_cliques` is an independent implementation; the graph of Moon and Moser
    (Israel J. Math. 3 (1965) 23) has 3^(n/3) of them."""
    rng = default_rng(3)
    for _ in range(60):
        relation = _relation(rng, int(rng.integers(1, 12)), float(rng.uniform(0.2, 0.9)))
        graph = nx.from_numpy_array(relation & ~np.eye(len(relation), dtype=bool))
        graph.remove_nodes_from([i for i in list(graph) if not relation[i, i]])
        assert set(maximal_sets(relation)) == {frozenset(c) for c in nx.find_cliques(graph)}
    moon_moser = nx.complete_multipartite_graph(*[3] * 5)
    relation = nx.to_numpy_array(moon_moser, dtype=bool) | np.eye(15, dtype=bool)
    assert len(list(maximal_sets(relation))) == 3**5


def _relation(rng: Generator, count: int, share: float) -> np.ndarray:
    upper = np.triu(rng.random((count, count)) < share, 1)
    return upper | upper.T | np.diag(rng.random(count) < 0.95)


def _fewest(holds: set[frozenset[int]], members: frozenset[int]) -> int:
    """Fewest sets of a hereditary family that cover members: all unions of 1, 2, … sets."""
    masks = np.array(sorted(sum(1 << i for i in s) for s in holds), dtype=np.int64)
    inside = (masks[:, None] & masks[None, :]) == masks[:, None]
    masks = masks[inside.sum(axis=1) == 1]  # those inside another add nothing
    goal, unions, count = sum(1 << i for i in members), np.zeros(1, dtype=np.int64), 0
    while goal not in unions:
        unions, count = np.unique(unions[:, None] | masks[None, :]), count + 1
    return count


@pytest.mark.slow
def test_two_hundred_random_jobs_against_trying_everything() -> None:
    """Up to 14 operations, pairs and larger sets forbidden at random; the fewest by dynamic
    programming over all subsets."""
    rng = default_rng(1)
    cut = 0
    for _ in range(200):
        count = int(rng.integers(2, 15))
        relation = _relation(rng, count, float(rng.uniform(0.3, 0.95)))
        bans = [
            frozenset(rng.choice(count, size=min(count, int(rng.integers(3, 5))), replace=False))
            for _ in range(int(rng.integers(0, 8)))
        ]
        known: set[frozenset[int]] = set()

        def judge(
            members: frozenset[int],
            bans: list[frozenset[int]] = bans,
            known: set[frozenset[int]] = known,
        ) -> int | None:
            assert members not in known
            known.add(members)
            return None if any(ban <= members for ban in bans) else 1

        family = smallest_family(relation, judge)
        assert family.judged == len(known)
        cut += len(family.failing)
        assert all(p in bans and not any(b < p for b in bans) for p in family.failing)
        cliques = [s for s in _cliques(relation) if not any(ban <= s for ban in bans)]
        able = frozenset(np.flatnonzero(np.diag(relation)).tolist())
        assert family.proven
        assert family.unserved == frozenset(range(count)) - able
        assert len(family.sets) == _fewest(set(cliques), able)
    assert cut > 50


def _cliques(relation: np.ndarray) -> list[frozenset[int]]:
    """All cliques, not only the largest."""
    able = np.flatnonzero(np.diag(relation)).tolist()
    out = [frozenset[int]()]
    for i in able:
        out += [c | {i} for c in out if all(relation[i, j] for j in c)]
    return out[1:]


def test_weighted_covers_against_trying_everything() -> None:
    """Cheapest and, of the cheapest, the one with the earliest sets: by listing all choices."""
    rng = default_rng(2)
    for _ in range(200):
        count, number = int(rng.integers(1, 8)), int(rng.integers(1, 10))
        sets = [frozenset(np.flatnonzero(rng.random(count) < 0.45).tolist()) for _ in range(number)]
        weights = rng.integers(0, 6, number).tolist()
        everything = frozenset().union(*sets)
        cover = smallest_cover(sets, weights)
        best: tuple[int, tuple[int, ...]] | None = None
        for size in range(number + 1):
            for choice in combinations(range(number), size):
                if frozenset().union(*(sets[j] for j in choice)) != everything:
                    continue
                price = sum(weights[j] for j in choice)
                key = (price, tuple(-(j in choice) for j in range(number)))
                if best is None or key < best:  # type: ignore[operator]
                    best = key  # type: ignore[assignment]
        assert best is not None
        assert cover.proven
        assert (cover.weight, tuple(-(j in cover.chosen) for j in range(number))) == best


def test_order_of_rows_does_not_change_the_answer() -> None:
    rng = default_rng(4)
    sets = [frozenset(np.flatnonzero(rng.random(30) < 0.2).tolist()) for _ in range(60)]
    first = smallest_cover(sets, [1] * 60)
    move = rng.permutation(30)
    again = smallest_cover([frozenset(int(move[i]) for i in s) for s in sets], [1] * 60)
    assert first.proven
    assert first.tie_broken
    assert first == again


def test_when_time_ends_the_gap_is_true() -> None:
    """With no time at all the cover is still a cover, and the bound never exceeds the optimum."""
    sets = [frozenset(line) for line in FANO]
    cover = smallest_cover(sets, [1] * 7, seconds=0.0)
    assert frozenset().union(*(sets[j] for j in cover.chosen)) == frozenset(range(7))
    assert cover.bound <= 3 <= cover.weight
    assert not cover.proven
    assert cover.gap > 0.0


def test_nothing_is_covered_by_nothing() -> None:
    cover = smallest_cover([], [])
    assert (cover.chosen, cover.weight, cover.gap) == ((), 0, 0.0)
    assert cover.proven


def test_what_fails_is_banned_and_all_else_stays_within_reach() -> None:
    """Against all subsets: after each ban the pool is the largest sets of which no part failed."""
    rng = default_rng(11)
    for _ in range(60):
        first = [frozenset(np.flatnonzero(rng.random(7) < 0.6).tolist()) for _ in range(3)]
        first = [each for each in first if each and not any(each < o for o in first)]
        pool = smallest._Pool(lambda _: None, list(dict.fromkeys(first)))
        every = {frozenset(some) for each in first for k in range(1, len(each) + 1)
                 for some in combinations(sorted(each), k)}  # fmt: skip
        for _ in range(4):
            left = [each for each in every if len(each) > 1]
            if not left:
                break
            failing = sorted(left, key=sorted)[int(rng.integers(len(left)))]
            pool.ban(failing)
            every = {each for each in every if not failing <= each}
            largest = {each for each in every if not any(each < other for other in every)}
            assert set(pool.sets) == largest
            assert len(pool.sets) == len(largest)


@pytest.mark.parametrize("most", [2, 3, 4])
def test_with_more_sets_than_are_looked_at_nothing_is_called_proven(
    most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A ring of four: its maximal sets are its four sides."""
    monkeypatch.setattr(smallest, "MOST_SETS", most)
    ring = np.eye(4, dtype=bool)
    for k in range(4):
        ring[k, (k + 1) % 4] = ring[(k + 1) % 4, k] = True
    family = smallest_family(ring, lambda _: 1)
    assert family.unserved == frozenset()
    assert family.proven == (most >= 4)
    assert len(family.sets) == 2 if most >= 3 else len(family.sets) >= 2


def test_what_stands_in_the_drawer_is_taken_first() -> None:
    together = np.ones((3, 3), dtype=bool)
    family = smallest_family(
        together, lambda _: 100, least=100, existing=[(frozenset({0, 1, 2}), 1)]
    )
    assert family.kept == (0,)
    assert family.sets == ()
    assert family.judged == 0


@pytest.mark.parametrize("weights", [[-1], [0.5], [1, 1], [2 * 10**9]])
def test_bad_weights_are_refused(weights: list[int]) -> None:
    with pytest.raises(ValueError, match="weight"):
        smallest_cover([frozenset({0})], weights)
