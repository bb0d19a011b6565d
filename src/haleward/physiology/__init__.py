"""Physiology: heart rate, oxygen uptake, effort, energy and body; plain functions."""
