"""Capacity: field tests to capacity, norms and change that matters."""
