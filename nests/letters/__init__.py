"""Letters: what is engraved, and what a font lacks."""
