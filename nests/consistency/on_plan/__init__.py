"""What is looked at in a work plan, one file each."""
