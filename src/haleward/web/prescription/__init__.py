"""Prescription, programme and proposals."""
