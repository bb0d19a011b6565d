"""A test, what was measured, and what it says; nothing is stored."""
