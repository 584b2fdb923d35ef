"""My craft within my tolerances: how its builds fly."""
