"""Protocol: the service's own rules as versions that are read, edited, previewed and signed."""
