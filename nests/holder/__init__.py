"""A recipe, and the solid it becomes."""
