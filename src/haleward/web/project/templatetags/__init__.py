"""Template filters: one per quantity."""
