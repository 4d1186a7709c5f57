"""Runs the tests with whole documents of every demo and with every key left out. Takes hours.

What each run of `tests/run.sh` leaves to it: documents of the gorge, the dam and the oak in the
browser; the checkers of PDF on more than three documents; page 1 of each demo signed and on either
paper; every word of the gorge and the dam; the search of the gorge, its JSON by the schema with it;
and most of the paths of the law of silence.

Arguments go to pytest.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

EVERYTHING = {"RISKDOC_SOAK": "1", "RISKDOC_SILENCE": "full"}

if __name__ == "__main__":
    share = ["-n", "auto", "--dist", "loadfile", "--no-loadscope-reorder"]
    command = [sys.executable, "-m", "pytest", "-q", *share]
    sys.exit(
        subprocess.run(
            [*command, *sys.argv[1:]],
            cwd=Path(__file__).parents[2],
            env={**os.environ, **EVERYTHING},
            check=False,
        ).returncode
    )
