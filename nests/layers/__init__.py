"""Slices, and what reads them."""
