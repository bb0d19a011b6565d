"""Session: the cue sheet, its timing and its wording."""
