"""Tests; a package, so that no other that is called `tests` stands in for it."""
