"""Most memory that a process has held; imports nothing that would add to it."""

from __future__ import annotations

from pathlib import Path


def most_memory() -> float:
    """Most that this process has held so far [MB]; where the system does not tell by /proc, what getrusage says."""
    status = Path("/proc/self/status")
    if status.exists():
        return (
            next(float(line.split()[1]) for line in status.read_text().splitlines() if line.startswith("VmHWM")) / 1e3
        )
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
