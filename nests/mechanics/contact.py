"""Bodies on supports that push but never pull, each with a gap.

The body gives three things: the compliance between its support points, the rigid movements it can
make, and how far a load moves each support point. Everything else is one quadratic program: the
reactions R that minimise ½ Rᵀ A R + bᵀ R with Bᵀ R = m and R >= 0, where A is the compliance of
body and supports, b the gap less the deflection under the load, B the rigid movements and m the
resultant of the load. Its conditions of optimality are exactly those of contact: gap left >= 0,
reaction >= 0, product 0, balance of force and both moments.

A is positive definite on every self-balanced set of forces (it is the elastic energy they store),
so the minimum is unique. Two methods look for it. *Block pivoting* lets go of every support that
pulls and takes on every one that is sunk into, all at once: a handful of solutions, but no proof
that it ends, so it gets few rounds. Then the primal *active set* takes over, which changes one
support at a time, loses energy at every step of some length and breaks ties by least index, and
therefore never meets the same set twice.

Sources: R. W. Cottle, J.-S. Pang, R. E. Stone, *The Linear Complementarity Problem*, 1992;
J. J. Júdice, F. M. Pires, *A block principal pivoting algorithm for large-scale strictly monotone
linear complementarity problems*, Computers & Operations Research 21 (1994) 587-596;
J. Nocedal, S. J. Wright, *Numerical Optimization*, 2nd ed., 2006, algorithm 16.3.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from .arrays import Flags, Floats

NEGLIGIBLE = 1e-11  # share of the largest force or length below which a number counts as zero
BLOCK_ROUNDS = 20
STEPS_PER_SUPPORT = 20


@dataclass(frozen=True, eq=False)
class Contact:
    """Solution of a contact problem with n supports and r rigid movements.

    `reaction` (n,) N, `gap` (n,) mm left at each support (0 where it carries), `rigid` (r,)
    amplitudes of the rigid movements. `tips`: no set of pushes balances the load, and then the
    three arrays are nan. `method` says what found it; `steps` how many sets were tried.
    """

    reaction: Floats
    gap: Floats
    rigid: Floats
    tips: bool
    method: Literal["blocks", "active set", "none"]
    steps: int

    @property
    def carries(self) -> Flags:
        """True for the supports that push, (n,)."""
        return np.asarray(self.reaction > 0)


def solve_contact(
    compliance: Floats,
    modes: Floats,
    shift: Floats,
    resultant: Floats,
    block_rounds: int = BLOCK_ROUNDS,
    guess: Flags | None = None,
) -> Contact:
    """Reactions of n one-sided supports under a body with r rigid movements.

    `compliance` (n, n) mm/N of body and supports together; `modes` (n, r) movement of each support
    point per unit of each rigid movement; `shift` (n,) gap less deflection under the load; and
    `resultant` (r,) work of the load on each rigid movement.

    `block_rounds` bounds the first method; 0 goes straight to the active set. `guess` (n,) are the
    supports it takes to carry at first, all if not given: it never changes what is found. Where
    rigid supports share one place, the force of both is credited to either.

    Raises ValueError if a rigid support stands proud where nothing can give way, and
    ArithmeticError if rounding keeps the active set from ending within `STEPS_PER_SUPPORT` sets per
    support (never seen; rather no answer than a wrong one).
    """
    modes, resultant, basis = _independent(modes, resultant)
    method: Literal["blocks", "active set"] = "blocks"
    free, steps = None, 0
    lifted = _lifted(modes, resultant)
    if not lifted and _spans(modes, np.ones(len(shift), dtype=bool)):
        first = np.ones(len(shift), dtype=bool) if guess is None else _spanning(modes, guess)
        free, steps = _block_pivots(compliance, modes, shift, resultant, block_rounds, first)
    if free is None:  # what settled has balanced the load; else ask whether pushes can
        start = None if lifted else _balancing(modes, resultant)
        if start is None:
            nothing = np.full(len(shift), np.nan)
            return Contact(nothing, nothing, np.full(len(basis), np.nan), True, "none", steps)
        method = "active set"
        try:
            free, more = _active_set(compliance, modes, shift, resultant, start)
        except np.linalg.LinAlgError as error:
            raise ValueError("a rigid support stands proud where nothing can give way") from error
        steps += more
    reaction, rigid = _carried(compliance, modes, shift, resultant, free)
    gap = compliance @ reaction + shift - modes @ rigid
    reaction[~free | (reaction < 0)] = 0.0
    gap[free | (gap < 0)] = 0.0
    return Contact(reaction, gap, basis @ rigid, False, method, steps)


def sweep_contact(
    compliance: Floats, modes: Floats, shift: Floats, resultant: Floats
) -> tuple[Floats, Floats]:
    """Many cases of one problem: `shift` (k, n), `resultant` (k, r) or (r,).

    While the same supports carry, reactions depend linearly on gaps and loads. So each set found is
    tried on all cases left before the next case is solved afresh: the work goes with the number of
    distinct sets, not of cases. Returns reactions (k, n) and rigid movements (k, r), nan where a
    case tips. Raises as `solve_contact`.
    """
    cases, count = shift.shape
    loads = np.broadcast_to(resultant, (cases, modes.shape[1]))
    reactions = np.full((cases, count), np.nan)
    rigids = np.full((cases, modes.shape[1]), np.nan)
    spans = np.linalg.matrix_rank(modes) == modes.shape[1] if modes.size else True
    left = np.arange(cases)
    guess = None
    while len(left):
        found = solve_contact(compliance, modes, shift[left[0]], loads[left[0]], guess=guess)
        guess = None if found.tips else found.carries
        reactions[left[0]], rigids[left[0]] = found.reaction, found.rigid
        left = left[1:]
        if found.tips or not spans or not len(left):
            continue
        free = _spanning(modes, found.carries)
        trial, rigid = _carried(compliance, modes, shift[left], loads[left], free)
        good = ~_pulling(trial).any(axis=1)
        good &= ~_sinking(compliance, modes, shift[left], trial, rigid, free).any(axis=1)
        reactions[left[good]], rigids[left[good]] = np.maximum(trial[good], 0.0), rigid[good]
        left = left[~good]
    return reactions, rigids


def _independent(modes: Floats, resultant: Floats) -> tuple[Floats, Floats, Floats]:
    """Modes, resultant and basis reduced to the movements that the supports can feel.

    Supports in one line do not feel turning about that line: it is dropped, unless the load turns
    the body about it, which `_balancing` then finds impossible to hold.
    """
    if not modes.size:
        return modes, resultant, np.eye(modes.shape[1])
    _, size, rows = np.linalg.svd(modes, full_matrices=True)
    rank = int((size > 1e-9 * size.max()).sum())
    turned = rows @ resultant
    if np.abs(turned[rank:]).max(initial=0.0) > 1e-9 * np.abs(turned).max():
        rank = len(rows)
    basis = rows[:rank].T
    return modes @ basis, basis.T @ resultant, basis


def _lifted(modes: Floats, resultant: Floats) -> bool:
    """Whether the load goes with a movement that leaves every support alike: no pushes balance it.

    One alternative of Farkas' lemma, seen at once; the others are left to `_balancing`.
    """
    if not modes.size:
        return False
    leaving = np.linalg.lstsq(modes, np.ones(len(modes)), rcond=None)[0]
    works = resultant * leaving
    return bool((modes @ leaving > 0.5).all() and works.sum() < -1e-6 * np.abs(works).max())


def _balancing(modes: Floats, resultant: Floats) -> Floats | None:
    """Some pushes that balance the load, or None where there are none (Farkas' alternative)."""
    if not np.any(resultant):
        return np.zeros(len(modes))
    if not len(modes):
        return None
    from scipy.optimize import nnls  # 0.1 s to load, and most loads are settled without

    size = np.abs(resultant).max()
    scale = np.maximum(np.abs(modes).max(axis=0), 1e-300)
    pushes, residual = nnls((modes / scale).T, resultant / scale / size)
    return np.asarray(size * pushes) if residual <= 1e-9 else None


def _spans(modes: Floats, free: Flags) -> bool:
    """Whether the supports `free` determine the rigid movements."""
    return bool(np.linalg.matrix_rank(modes[free], tol=1e-9) == modes.shape[1])


def _spanning(modes: Floats, carries: Flags) -> Flags:
    """`carries` and as many others as the rigid movements need to be determined."""
    free = carries.copy()
    while not _spans(modes, free):
        _, size, rows = np.linalg.svd(modes[free], full_matrices=True)
        unfelt = rows[int((size > 1e-9).sum()) :]
        free[np.argmax(np.where(free, -1.0, np.linalg.norm(modes @ unfelt.T, axis=1)))] = True
    return free


def _carried(
    compliance: Floats, modes: Floats, shift: Floats, resultant: Floats, free: Flags
) -> tuple[Floats, Floats]:
    """Reactions (…, n) and rigid movements (…, r) if exactly the supports `free` touch."""
    some, rank = int(free.sum()), modes.shape[1]
    matrix = np.zeros((some + rank, some + rank))
    matrix[:some, :some] = compliance[np.ix_(free, free)]
    matrix[:some, some:] = -modes[free]
    matrix[some:, :some] = modes[free].T
    # gaps are in mm, balances in N: bring both to one size before elimination
    stretch = np.ones(some + rank)
    stretch[:some] = max(float(np.abs(matrix[:some, :some]).max(initial=0.0)), 1e-300) ** -0.5
    right = np.concatenate([-shift[..., free], resultant], axis=-1) * stretch
    unknowns = np.linalg.solve(matrix * stretch[:, None] * stretch, right.T).T * stretch
    reaction = np.zeros(shift.shape)
    reaction[..., free] = unknowns[..., :some]
    return reaction, unknowns[..., some:]


def _pulling(reaction: Floats) -> Flags:
    """Supports that would have to pull, (…, n)."""
    largest = np.abs(reaction).max(axis=-1, keepdims=True, initial=0.0)
    return np.asarray(reaction < -NEGLIGIBLE * largest)


def _sinking(
    compliance: Floats, modes: Floats, shift: Floats, reaction: Floats, rigid: Floats, free: Flags
) -> Flags:
    """Supports not in `free` that the body would sink into, (…, n)."""
    gap = reaction @ compliance + shift - rigid @ modes.T
    moved = np.abs(compliance).max(initial=0.0) * np.abs(reaction).sum(axis=-1, keepdims=True)
    size = np.maximum(np.abs(shift).max(axis=-1, keepdims=True, initial=0.0), moved)
    return np.asarray(~free & (gap < -10 * NEGLIGIBLE * size))


def _block_pivots(
    compliance: Floats,
    modes: Floats,
    shift: Floats,
    resultant: Floats,
    rounds: int,
    free: Flags,
) -> tuple[Flags | None, int]:
    """Supports that touch, sought from `free` on, or None if `rounds` did not settle it; and the
    rounds taken."""
    for taken in range(1, rounds + 1):
        try:
            reaction, rigid = _carried(compliance, modes, shift, resultant, free)
        except np.linalg.LinAlgError:  # rigid supports in one place: one of them is enough
            return None, taken
        pulls = _pulling(reaction)
        sinks = _sinking(compliance, modes, shift, reaction, rigid, free)
        if not (pulls | sinks).any():
            return free, taken
        free = _spanning(modes, (free & ~pulls) | sinks)
    return None, rounds


def _active_set(
    compliance: Floats, modes: Floats, shift: Floats, resultant: Floats, start: Floats
) -> tuple[Flags, int]:
    """Supports that touch, from the balanced pushes `start` on, and the number of sets tried."""
    reaction, free = start, _spanning(modes, start > 0)
    stalled = False
    limit = STEPS_PER_SUPPORT * (len(shift) + 1)
    for step in range(1, limit + 1):
        target, rigid = _carried(compliance, modes, shift, resultant, free)
        falling = np.flatnonzero(_pulling(target))
        if len(falling):
            share = np.maximum(reaction[falling] / (reaction[falling] - target[falling]), 0.0)
            stalled = bool(share.min() <= NEGLIGIBLE)
            reaction = reaction + share.min() * (target - reaction)
            leaving = falling[np.flatnonzero(share <= share.min() + NEGLIGIBLE)[0]]
            reaction[leaving], free[leaving] = 0.0, False
            continue
        reaction = target
        wanting = np.flatnonzero(_sinking(compliance, modes, shift, reaction, rigid, free))
        if not len(wanting):
            return free, step
        gap = compliance @ reaction + shift - modes @ rigid
        free[wanting[0] if stalled else wanting[np.argmin(gap[wanting])]] = True
    raise ArithmeticError(f"contact not settled after {limit} sets of {len(shift)} supports")
