"""Dose: intensity, programme, week and progression, each with its reasons."""
