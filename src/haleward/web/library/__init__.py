"""The movement library as pages: find a movement, see it, print it."""
