"""The package from outside: refusals, spelling, and a light import."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from picture_shapes import plates
from PIL import Image

from nests.papers.picture import Shown, View, field_picture, render
from nests.papers.picture.writing import explain, spell, text_width, wrap, write


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: field_picture(plates(), np.zeros(3), "mm", (0, 1), "t"), "3,"),
        (lambda: field_picture(plates(), np.zeros(48), "mm", (1, 1), "t"), "empty"),
        (lambda: render([], view=View()), "nothing to draw"),
        (lambda: Shown("x", np.zeros((3, 3)), np.zeros((1, 3), int), np.zeros(2, int)), "labels"),
        (lambda: Shown("x", np.zeros((3, 3)), np.zeros((0, 3), int), np.zeros(0, int)), "(T, 3)"),
    ],
)
def test_bad_input_is_refused(call: Callable[[], object], words: str) -> None:
    """With the value at fault in the sentence."""
    with pytest.raises(ValueError, match=words.replace("(", r"\(").replace(")", r"\)")):
        call()


def test_text_is_spelled_in_our_font() -> None:
    """No empty boxes: what the font lacks is spelled out or given as its code point."""
    spelled = spell("⌀2.2 \u00d7 3 \u2013 Größe, à 0.5 µm, 1½")
    assert spelled == "dia. 2.2 × 3 – Größe, à 0.5 µm, 1½"
    assert spell("\u65e5⅓e\u0301") == "[U+65E5]⅓é"


def ink(text: str) -> np.ndarray:
    """Dark pixels of a text as it is set."""
    image = Image.new("RGB", (400, 60), "white")
    write(image, 10.0, 45.0, text, 26.0)
    return np.asarray(image.convert("L")) < 128


def test_every_letter_has_ink_of_its_own() -> None:
    """Letters of three alphabets and accents are no boxes, and no two are one."""
    drawn = {letter: ink(letter).tobytes() for letter in "eéèOØЯЖΩΔČÅñß½"}
    assert len(set(drawn.values())) == len(drawn)
    assert np.flatnonzero(ink("é").any(axis=1)).min() < np.flatnonzero(ink("e").any(axis=1)).min()


def test_a_letter_without_a_glyph_is_set_as_its_code_point_and_told_of() -> None:
    odd = "ЯК 26 時計 Ø½ 11½‴"
    assert spell(odd) == "ЯК 26 [U+6642][U+8A08] Ø½ 11½'''"
    assert (ink("時") == ink("[U+6642]")).all()
    for text, told in ((odd, True), ("INV 26 été", False)):
        image = Image.new("RGB", (900, 60), "white")
        explain(image, [text], 30)
        assert (np.asarray(image) < 128).any() == told


def test_a_word_of_code_points_is_broken_to_its_room() -> None:
    lines = wrap("時計時計 歯車歯車", 150.0)
    assert "".join(lines) == "時計時計歯車歯車"
    assert all(text_width(line) <= 150.0 for line in lines)


def test_squares_and_cubes_are_raised() -> None:
    """A raised digit is narrower than a digit, wider than nothing, and clear of the foot."""
    assert text_width("mm") < text_width("mm²") < text_width("mm2")
    image = Image.new("RGB", (80, 40), "white")
    write(image, 10.0, 30.0, "²", 26.0)
    low = np.flatnonzero((np.asarray(image.convert("L")) < 128).any(axis=1))
    assert low.min() >= 4
    assert low.max() < 26


def test_import_is_light() -> None:
    """Rays, solids, images and sparse graphs are imported only when a picture is drawn."""
    code = (
        "import sys, nests.papers.picture\n"
        "heavy = {'PIL', 'embreex', 'manifold3d', 'scipy', 'trimesh'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    root = str(Path(__file__).parents[3])
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=root)
    assert run.stdout.strip() == "[]", run.stderr
