"""Team: the service and its own numbers."""
