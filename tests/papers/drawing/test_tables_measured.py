"""Every number in the tables and notes of a drawing, looked up by rays on the exported mesh."""

from __future__ import annotations

import re

import numpy as np
import pytest
import trimesh
from drawn_holders import FAMILIES, drawing, holder
from test_measured import ROUNDING, exported

from nests.papers.drawing.values import Block, Dimension, Text
from nests.papers.report.acceptance import acceptance

DOWN = np.array((0.0, 0.0, -1.0))
FAR = 100.0


def block(name: str, start: str) -> Block | None:
    return next((b for b in drawing(name).blocks if b.name.startswith(start)), None)


def words(found: Block) -> list[str]:
    return [each.words for each in found.items if isinstance(each, Text)]


def rows(name: str, start: str, columns: int) -> list[list[str]]:
    """The rows of a table, without its heading and its head."""
    found = block(name, start)
    said = words(found)[1 + columns :] if found is not None else []
    return [said[k : k + columns] for k in range(0, len(said), columns)]


def number(said: str) -> float:
    match = re.search(r"-?\d+\.\d+", said.replace("−", "-"))
    assert match is not None, said
    return float(match[0])


def first_below(mesh: trimesh.Trimesh, points: np.ndarray) -> np.ndarray:
    """z of the first surface below each point, minus infinity without one."""
    hits, rays, _ = mesh.ray.intersects_location(points, np.tile(DOWN, (len(points), 1)))
    z = np.full(len(points), -np.inf)
    np.maximum.at(z, rays, np.where(hits[:, 2] < points[rays, 2], hits[:, 2], -np.inf))
    return z


def around(x: float, y: float, radius: float, z: float) -> np.ndarray:
    turn = np.radians(np.arange(0, 360, 5) + 2.3)
    return np.column_stack(
        (x + radius * np.cos(turn), y + radius * np.sin(turn), np.full(len(turn), z))
    )


@pytest.mark.parametrize("name", FAMILIES)
def test_posts_end_where_the_table_says_and_are_as_wide(name: str) -> None:
    mesh, chord = exported(name, 1.0), holder(name).recipe.chord_error
    for _, under, _, _, x, y, _, tip, across, _ in rows(name, "posts", 10):
        at, high, radius = (number(x), number(y)), number(tip), number(across) / 2
        inside = first_below(mesh, around(*at, radius - 3 * chord - 2 * ROUNDING, high + 0.1))
        assert np.median(inside) == pytest.approx(high, abs=chord + ROUNDING), under
        outside = first_below(mesh, around(*at, radius + 2 * chord + 2 * ROUNDING, high + 0.1))
        assert np.median(outside) < high - chord, under


@pytest.mark.parametrize("name", FAMILIES)
def test_drawing_and_report_ask_for_the_same_height_of_a_post(name: str) -> None:
    asked = [row[2] for row in acceptance(holder(name).recipe) if "of the stake post" in row[0]]
    drawn = [row[6] for row in rows(name, "posts", 10)]
    assert drawn == asked


@pytest.mark.parametrize("name", FAMILIES)
def test_drawing_and_report_ask_for_the_same_seat(name: str) -> None:
    listed = [row for row in acceptance(holder(name).recipe) if row[0].startswith("⌀ of the")]
    asked = [row[2] for row in listed if "plunger" not in row[0]]
    drawn = [
        f"{row[4].removeprefix('⌀').replace(' ±', ' ± ')} mm"
        for row in rows(name, "fits", 5)
        if row[0] in ("seat bore", "seat below", "pocket")
    ]
    assert drawn == asked


@pytest.mark.parametrize("name", FAMILIES)
def test_what_is_noted_in_the_plan_goes_down_as_far_as_the_table_says(name: str) -> None:
    mesh, chord = exported(name, 1.0), holder(name).recipe.chord_error
    plan = block(name, "plan")
    assert plan is not None
    given = [d for d in plan.items if isinstance(d, Dimension)]
    letters = {  # the letter of each dimension stands beside its number
        min(
            (t for t in plan.items if isinstance(t, Text) and re.fullmatch("[a-z]{1,2}", t.words)),
            key=lambda t: abs(t.at[1] - d.text.at[1]) + 0.1 * abs(t.at[0] - d.text.at[0]),
        ).words: d
        for d in given
    }
    table = rows(name, "cuts", 4)
    assert [row[0] for row in table] == sorted(letters, key=lambda a: (len(a), a))
    for letter, what, _, low in table:
        if what.startswith("clip"):
            continue  # its floor lies beside it; the detail of the clip gives it
        made = letters[letter]
        first, second = np.array(made.ends[0]), np.array(made.ends[1])
        middle = (first if made.round else (first + second) / 2) + (0.0, 0.0, 0.02)
        found = float(first_below(mesh, middle[None])[0])
        assert max(found, 0.0) == pytest.approx(number(low), abs=chord + ROUNDING), what


@pytest.mark.parametrize("name", FAMILIES)
def test_bores_in_posts_are_as_wide_as_the_fits_say(name: str) -> None:
    mesh, chord = exported(name, 1.0), holder(name).recipe.chord_error
    posts = {row[0]: row for row in rows(name, "posts", 10)}
    for fit, _, asked, drawn, measures in rows(name, "fits", 5):
        card = holder(name).recipe.printer
        bias = card.inside_bias + card.inside_bias_slope * number(drawn)
        assert number(measures) == pytest.approx(number(drawn) + bias, abs=2 * ROUNDING)
        for post in re.findall(r"\d+", fit) if fit.startswith("in post") else ():
            x, y, z = number(posts[post][4]), number(posts[post][5]), number(posts[post][7]) - 0.3
            z = 1.0 if asked.startswith("tap") else z  # a thread is tapped from below
            ahead = around(0.0, 0.0, 1.0, 0.0)
            start = np.tile((x, y, z), (len(ahead), 1))
            hits, _, _ = mesh.ray.intersects_location(start, ahead, multiple_hits=False)
            reached = np.hypot(hits[:, 0] - x, hits[:, 1] - y)
            wide = 2 * float(np.median(reached))
            assert wide == pytest.approx(number(drawn), abs=2 * chord + 3 * ROUNDING), fit


@pytest.mark.parametrize("name", FAMILIES)
def test_the_notes_give_the_chamfers_and_the_depth_of_the_letters(name: str) -> None:
    mesh, chord = exported(name, 1.0), holder(name).recipe.chord_error
    found = block(name, "notes")
    assert found is not None
    said = " ".join(words(found))
    foot, top = map(
        float, re.findall(r"chamfer ([\d.]+) at the foot, ([\d.]+) at the top", said)[0]
    )
    deep = float(re.findall(r"Letters ([\d.]+) deep", said)[0])
    high = float(mesh.vertices[:, 2].max())
    reach = float(np.hypot(*mesh.vertices[:, :2].T).max())
    upper = first_below(mesh, around(0.0, 0.0, reach - 2 * chord, high + 1.0))
    # most of the rim: a hood over a guide stands higher
    body = float(np.median(first_below(mesh, around(0.0, 0.0, reach - 2 * top, high + 1.0))))
    upper = upper[upper < body + chord]  # a hood may stand out to the outer face
    # a corner of 45° or steeper: 2 chord errors inside the outer face is at most twice that low
    assert body - np.max(upper) == pytest.approx(top, abs=5 * chord + ROUNDING)
    lower = around(0.0, 0.0, reach - 2 * chord, -1.0)
    hits, _, _ = mesh.ray.intersects_location(lower, np.tile(-DOWN, (len(lower), 1)), False)
    assert np.median(hits[:, 2]) == pytest.approx(foot, abs=5 * chord + ROUNDING)
    x, y = np.meshgrid(*2 * (np.arange(-reach, reach, 0.15),))
    grid = np.column_stack((x.ravel(), y.ravel(), np.full(x.size, body + 0.1)))
    depth = body - first_below(mesh, grid)
    assert np.sum(np.abs(depth - deep) < chord + ROUNDING) > 50
