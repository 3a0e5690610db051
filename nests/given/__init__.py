"""What is given: sheet, work plan, printer card."""
