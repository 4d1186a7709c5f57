"""Signs the demo jobs anew, as invented people on invented days.

A sign-off is bound to the figures, so it ends whenever a table, a rule or the version moves; then
run `python -m support.sign_demos` with `tests` on the path. Real sign-offs are never made again.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from riskdoc.i18n.say import Locale, speaking
from riskdoc.job.reading import read
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.signing.entries import Act
from riskdoc.signing.record_files import record_path
from riskdoc.signing.signing import Deed, act, meaning_of
from support.demos import JOBS

Step = tuple[str, Act, str, str, str, str, str]
STEPS: tuple[Step, ...] = (
    ("dam_b", "sign", "prepared", "E. Sorley", "", "", "2027-06-03T15:10"),
    ("dam_b", "sign", "checked", "M. Hollen", "", "", "2027-06-04T09:30"),
    ("dam_b", "sign", "authorised", "T. Brandal", "", "", "2027-06-04T16:45"),
    ("dam", "supersede", "prepared", "E. Sorley", "a fall could end on the gate sill",
     "HV-041, B", "2027-06-04T17:00"),
    ("oak", "withdraw", "authorised", "B. Roan", "the broken leader came down by itself in a gale",
     "", "2027-03-12T07:50"),
    ("wasserturm", "sign", "erstellt", "T. Ostby", "", "", "2027-04-06T10:00"),
    ("wasserturm", "sign", "geprüft", "I. Falk", "", "", "2027-04-07T08:15"),
    ("wasserturm", "sign", "genehmigt", "H. Ravn", "", "", "2027-04-08T12:20"),
)  # fmt: skip
"""Job, act, role, name, reason, what comes after, time in UTC."""


def sign(folder: Path = JOBS, *only: str) -> None:
    """Writes the records of the demos in a folder, in place of those there; all or some."""
    steps = [step for step in STEPS if not only or step[0] in only]
    for name in dict.fromkeys(step[0] for step in steps):
        record_path(folder / f"{name}.yaml").unlink(missing_ok=True)
    for name, what, role, who, reason, successor, time in steps:
        now = datetime.fromisoformat(time).replace(tzinfo=UTC)
        path = folder / f"{name}.yaml"
        file = read(path, now.date()).file
        assert file is not None
        meaning = reason or _meaning(role, file.job.report.language)
        act(path, brief_dossier(file), Deed(what, role, who, meaning, successor), now)


def _meaning(role: str, language: str) -> str:
    with speaking(Locale(language)):
        return meaning_of(role, None)


if __name__ == "__main__":
    sign()
