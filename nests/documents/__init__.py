"""Reading, writing and accepting documents."""
