"""Template tags of the Reckoner."""
