"""Contact solver against enumeration of all contact sets, and against quadratic programming."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from nests.mechanics.contact import solve_contact, sweep_contact


def problem(seed, count, above=0):
    """Random elastic body on `count` springs of random gap, loaded within its supports."""
    random = np.random.default_rng(seed)
    root = random.normal(size=(count, count)) * 1e-2
    compliance = root @ root.T + np.diag(random.uniform(1e-5, 1e-3, count))
    modes = np.column_stack([np.ones(count), random.uniform(-10, 10, (count, 2))])
    modes[:above] *= -1
    pushes = random.uniform(0, 5, count)
    return compliance, modes, random.normal(size=count) * 5e-3, modes.T @ pushes


def enumerated(compliance, modes, shift, resultant):
    """Outside solution: try every set of supports until the conditions of contact hold."""
    count, rank = modes.shape
    for size in range(rank, count + 1):
        for chosen in combinations(range(count), size):
            free = list(chosen)
            matrix = np.block(
                [
                    [compliance[np.ix_(free, free)], -modes[free]],
                    [modes[free].T, np.zeros((rank, rank))],
                ]
            )
            if np.linalg.cond(matrix) > 1e13:
                continue
            unknowns = np.linalg.solve(matrix, np.concatenate([-shift[free], resultant]))
            reaction = np.zeros(count)
            reaction[free] = unknowns[:size]
            gap = compliance @ reaction + shift - modes @ unknowns[size:]
            if reaction.min() > -1e-9 and gap.min() > -1e-10:
                return reaction
    raise AssertionError("no set of supports fits")


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10**6), count=st.integers(3, 8), above=st.integers(0, 2))
def test_reactions_are_those_found_by_trying_every_set(seed, count, above):
    case = problem(seed, count, above)
    wanted = enumerated(*case)
    for rounds in (12, 0):
        found = solve_contact(*case, block_rounds=rounds)
        assert not found.tips
        assert np.allclose(found.reaction, wanted, rtol=1e-6, atol=1e-7 * wanted.max())


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10**6), count=st.integers(3, 60))
def test_conditions_of_contact_hold_whichever_method_finds_the_answer(seed, count):
    compliance, modes, shift, resultant = problem(seed, count)
    by_blocks = solve_contact(compliance, modes, shift, resultant)
    by_sets = solve_contact(compliance, modes, shift, resultant, block_rounds=0)
    assert by_sets.method == "active set"
    assert np.allclose(by_blocks.reaction, by_sets.reaction, atol=1e-7 * by_sets.reaction.max())
    for found in (by_blocks, by_sets):
        assert (found.reaction >= 0).all()
        assert (found.gap >= 0).all()
        assert (found.reaction * found.gap == 0).all()
        balance = modes.T @ found.reaction - resultant
        assert np.abs(balance).max() <= 1e-9 * np.abs(resultant).max()
        gap = compliance @ found.reaction + shift - modes @ found.rigid
        assert np.allclose(gap, found.gap, atol=1e-9 * (np.abs(shift).max() + 1))


def test_least_energy_agrees_with_a_general_optimiser():
    """scipy's SLSQP minimises the same energy under the same balance."""
    compliance, modes, shift, resultant = problem(5, 10)
    scale = np.abs(shift).max()
    answer = minimize(
        lambda r: (0.5 * r @ compliance @ r + shift @ r) / scale,
        np.full(10, 2.0),
        jac=lambda r: (compliance @ r + shift) / scale,
        bounds=[(0, None)] * 10,
        constraints={
            "type": "eq",
            "fun": lambda r: modes.T @ r - resultant,
            "jac": lambda r: modes.T,
        },
        options={"maxiter": 500, "ftol": 1e-14},
    )
    found = solve_contact(compliance, modes, shift, resultant)
    assert np.allclose(found.reaction, answer.x, atol=1e-4)


def test_a_load_outside_the_supports_tips_and_numbers_are_refused():
    places = np.array([[0.0, 0.0], [10, 0], [0, 10]])
    modes = np.column_stack([np.ones(3), places])
    inside, outside = np.array([1, 4.9, 4.9]), np.array([1, 5.1, 5.1])
    args = np.eye(3) * 1e-3, modes, np.zeros(3)
    assert not solve_contact(*args, inside).tips
    found = solve_contact(*args, outside)
    assert found.tips
    assert np.isnan(found.reaction).all()
    assert np.isnan(found.gap).all()
    # no set needs to be tried to see that nothing pushes down
    lifted = solve_contact(*args, -inside)
    assert lifted.tips
    assert lifted.steps == 0
    # a clip from above holds against lifting: statics of three reactions
    clipped = np.diag([1.0, 1.0, -1.0]) @ modes
    held = solve_contact(args[0], clipped, args[2], np.array([-0.5, 5.0, -20]))
    assert held.reaction == pytest.approx([1.0, 0.5, 2.0])
    # statics: a load on the side between two supports leaves the third without force
    assert solve_contact(*args, np.array([8, 40.0, 40])).reaction == pytest.approx([0, 4, 4])


def test_supports_in_line_balance_only_what_acts_on_their_line():
    modes = np.column_stack([np.ones(4), [0.0, 1, 2, 3], np.zeros(4)])
    args = np.eye(4) * 1e-3, modes, np.zeros(4)
    # equal springs under a rigid bar, load at 1.8 (statics of a rigid bar): 0.25 + x̄-shift
    level = solve_contact(*args, np.array([1, 1.8, 0]))
    assert level.reaction == pytest.approx(0.25 + 0.3 * (np.arange(4) - 1.5) / 5)
    assert solve_contact(*args, np.array([1, 1.8, 0.1])).tips


def test_rigid_supports_in_one_place_carry_together_what_one_would():
    """Statics of a lever: the force at a place does not depend on how many supports share it."""
    places = np.array([0.0, 10.0, 10.0])
    modes = np.column_stack([np.ones(3), places])
    found = solve_contact(np.zeros((3, 3)), modes, np.zeros(3), np.array([8.0, 20.0]))
    assert found.reaction[0] == pytest.approx(6.0)
    assert found.reaction[1:].sum() == pytest.approx(2.0)
    # of a post and a clip in one place only the one on the right side pushes
    modes[2] *= -1
    found = solve_contact(np.zeros((3, 3)), modes, np.zeros(3), np.array([8.0, 20.0]))
    assert found.reaction == pytest.approx([6.0, 2.0, 0.0])


def test_rigid_support_pushed_into_something_held_is_refused():
    with pytest.raises(ValueError, match="give way"):
        solve_contact(np.zeros((1, 1)), np.zeros((1, 0)), np.array([-0.1]), np.zeros(0))


def test_sweep_gives_what_single_solutions_give():
    compliance, modes, shift, resultant = problem(11, 12)
    random = np.random.default_rng(2)
    shifts = shift + random.normal(size=(200, 12)) * 3e-3
    loads = resultant * random.uniform(0.5, 2.0, (200, 1))
    loads[17] = [-1.0, 0, 0]  # lifts: no balance
    reactions, rigids = sweep_contact(compliance, modes, shifts, loads)
    assert np.isnan(reactions[17]).all()
    assert np.isnan(rigids[17]).all()
    for i in set(range(200)) - {17}:
        one = solve_contact(compliance, modes, shifts[i], loads[i])
        assert np.allclose(reactions[i], one.reaction, atol=1e-8 * one.reaction.max())
        assert np.allclose(rigids[i], one.rigid, atol=1e-8)
