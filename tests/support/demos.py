"""The demo jobs in English, and for each a day on which it may be assessed."""

from datetime import date
from pathlib import Path

JOBS = Path(__file__).parents[2] / "jobs"
DAYS = {
    "lighthouse": date(2027, 3, 1),
    "gorge": date(2027, 5, 1),
    "dam": date(2027, 6, 1),
    "oak": date(2027, 3, 10),
}
