"""What is looked at on a sheet, one file each."""
