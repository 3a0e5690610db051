"""What is looked at in a recipe, one file each."""
