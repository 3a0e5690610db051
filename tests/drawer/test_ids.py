"""Ids: the check character of ISO/IEC 7064, MOD 37,36."""

from __future__ import annotations

import itertools
import string

import pytest

from nests.kinds.kept import check_character, make_id, read_id
from nests.units import BadInput

LETTERS = string.digits + string.ascii_uppercase


@pytest.mark.parametrize(
    ("text", "character"),
    [
        # ISAN User Guide, International Standard Audiovisual Number, example 0000-0000-D07A-0090-Q
        ("00000000D07A0090", "Q"),
        # GRid Handbook, IFPI, example A1-2425G-ABC1234002-M
        ("A12425GABC1234002", "M"),
    ],
)
def test_published_examples(text, character):
    assert check_character(text) == character


def test_every_wrong_character_is_found():
    """ISO/IEC 7064, clause 1: all single substitution errors are detected."""
    right = make_id("movement holder", 4711)
    for place, other in itertools.product(range(len(right)), LETTERS):
        if right[place] == "-" or right[place] == other:
            continue
        with pytest.raises(BadInput):
            read_id(right[:place] + other + right[place + 1 :])


def test_an_id_may_be_typed_small():
    assert read_id(" m12-1") == make_id("movement holder", 12) == "M12-1"


@pytest.mark.parametrize("text", ["", "M", "M0-1", "12", "../M1-L", "M1-L.json", "M١-L"])
def test_what_is_no_id(text):
    with pytest.raises(BadInput, match="is no id"):
        read_id(text)
