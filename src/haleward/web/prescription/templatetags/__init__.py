"""Template filters of this part."""
