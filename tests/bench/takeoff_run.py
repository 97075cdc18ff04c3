"""One takeoff in a process of its own: prints seconds for reading and planning, and peak memory in MB.

Run as ``python -m tests.bench.takeoff_run COUNT``.
"""

from __future__ import annotations

import gc
import json
import resource
import sys
import time

from tests.bench.workload import project
from webapp.usecases.files import plan_document
from webapp.usecases.json_text import parse_json


def main() -> None:
    """Plan what the command line would be handed, as the command line does."""
    text = json.dumps(project(int(sys.argv[1]))).encode()
    gc.disable()
    start = time.perf_counter()
    _, takeoff = plan_document(parse_json(text))
    seconds = time.perf_counter() - start
    joints = sum(len(assembly.joints) for assembly in takeoff.assemblies)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"seconds": seconds, "joints": joints, "peak_mb": peak}))


if __name__ == "__main__":
    main()
