"""The equations: jitted functions of floats and small arrays, SI units, one phenomenon a file; no file, plot or class."""
