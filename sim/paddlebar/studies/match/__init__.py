"""Unknowns of a craft from its record."""
