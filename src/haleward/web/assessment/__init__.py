"""Assessment: what the team found."""
