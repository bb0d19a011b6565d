"""Concerns: what someone must look at, and how soon."""
