"""What is asked for: a holder, an examination, a pack, the gallery."""
