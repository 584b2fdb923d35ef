"""Reads files under a limit of memory and says of each, a line: good, or refused and by which words. python hdf5_child.py run|study FILES..."""

from __future__ import annotations

import resource
import sys
from pathlib import Path

from paddlebar.errors import BadInput, NotARunFile
from paddlebar.record.read import read_run
from paddlebar.studies.store import Study

MORE = 400_000_000  # bytes on top of what Python and its libraries take

if __name__ == "__main__":
    with Path("/proc/self/statm").open() as file:
        now = int(file.read().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (now + MORE, now + MORE))
    for name in sys.argv[2:]:
        try:
            if sys.argv[1] == "run":
                read_run(name)
            else:
                Study.open(name, {"scenario": "text"}, ["a_mm"], ["c_s"]).close()
            print("good", flush=True)
        except (NotARunFile, BadInput) as error:
            print("refused", error, flush=True)
