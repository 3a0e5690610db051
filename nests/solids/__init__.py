"""Solids, loops, and meshes drawn elsewhere."""
