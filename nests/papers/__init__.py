"""What people look at: drawing, report, pictures."""
