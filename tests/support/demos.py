"""The demo jobs in English, and for each a day on which it may be assessed."""

import os
from datetime import date
from pathlib import Path

JOBS = Path(__file__).parents[2] / "jobs"
DAYS = {
    "lighthouse": date(2027, 3, 1),
    "gorge": date(2027, 5, 1),
    "dam": date(2027, 6, 1),
    "oak": date(2027, 3, 10),
}
SOAK = os.environ.get("RISKDOC_SOAK") == "1"
"""Whether whole documents of every demo are made and looked at; see `tests/bench/soak.py`."""
PRINTED = tuple(DAYS) if SOAK else ("lighthouse",)
"""The demos whose documents are made in each run: a document takes half a minute to set."""
SEARCHED = [name for name in DAYS if SOAK or name != "gorge"]
"""The demos whose changes and limits are searched in each run: the gorge alone takes a minute."""
SAID = tuple(DAYS) if SOAK else ("lighthouse", "oak")
"""The demos whose every word is looked at in each run; the oak has a haul and no picture."""
