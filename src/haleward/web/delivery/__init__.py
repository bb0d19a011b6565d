"""Delivery: the person's link, session, log and print."""
