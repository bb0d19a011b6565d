"""Render: cue sheet and record to figure, page and print."""
