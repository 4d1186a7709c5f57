"""The drop of a sliding joint when a leg of its anchor goes."""

from __future__ import annotations

from riskdoc.analysis.inputs import cached, stated
from riskdoc.i18n.message import message
from riskdoc.job.reading import JobFile
from riskdoc.quantities.intervals import Interval


@cached
def extension_of(file: JobFile, anchor: str) -> Interval | None:
    """How far the joint drops when a leg goes; None where it does not.

    The joint of tied legs is taken to stay: it swings under the legs that are left. Raises
    `Missing` for sliding legs of which nothing is stated.
    """
    part = file.job.anchors[anchor]
    if part.equalised != "self" or part.why_not("extension") is not None:
        return None
    return stated(file, ("anchors", anchor, "extension"), "h", message("extension of the anchor"))
