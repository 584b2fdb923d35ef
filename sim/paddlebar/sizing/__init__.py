"""A craft sized from what a builder knows before he builds."""
