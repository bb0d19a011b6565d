"""Safety: protocol, gate, risk level, placement and concerns."""
