"""Two parameters across a craft, against stability."""
