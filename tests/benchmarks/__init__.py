"""Benchmarks in the shapes of asv (time_*, track_*), each run once by pytest: asv run --config tests/benchmarks/asv.conf.json."""
