"""Steady flight, its modes, and what the bar does for them."""
