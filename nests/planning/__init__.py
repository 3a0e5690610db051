"""Planning: the smallest family of holders for a work plan, and whether the job may start."""
