"""What is looked at on a printer card, one file each."""
