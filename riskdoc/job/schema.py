"""The JSON Schema of the job file, for editors that complete and check while typing.

It says less than the reader: what may stand beside what is checked only when a file is read.
"""

from __future__ import annotations

from typing import Any

from riskdoc.job.fields import ID
from riskdoc.job.model import RULED_OUT, Job
from riskdoc.job.ruled_out import NONE

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def job_schema() -> dict[str, Any]:
    """The schema of format version 1, generated from the model.

    >>> job_schema()["$defs"]["Edge"]["properties"]["turn"]["description"]
    'Angle through which the edge turns the rope, 0 to 180 deg.'
    """
    schema = Job.model_json_schema(by_alias=True)
    _tidy(schema)
    # An editor's YAML takes 1 for a number; the reader takes what is written.
    schema["properties"]["riskdoc"] |= {"enum": [1, "1"], "type": ["integer", "string"]}
    del schema["properties"]["riskdoc"]["const"]
    return {"$schema": DIALECT, **schema}


def _tidy_none(node: dict[str, Any]) -> None:
    """Let a key say that it does not apply, where it may; what only the reader writes goes."""
    node.get("properties", {}).pop(RULED_OUT, None)
    if node.get(NONE) is True:
        del node[NONE]
        about = {"type": "string", "minLength": 1, "description": "Why it does not apply."}
        reason = {
            "type": "object",
            "properties": {NONE: about},
            "required": [NONE],
            "additionalProperties": False,
        }
        stated = node.pop("anyOf", None)
        if stated is None:
            described: dict[str, Any] = {
                key: node.pop(key) for key in ("description", "default") if key in node
            }
            stated = [dict(node), {"type": "null"}]
            node.clear()
            node |= described
        node["anyOf"] = [*stated, reason]


def _tidy(node: Any) -> None:  # noqa: ANN401  # a schema is any JSON
    """Leave out what the file cannot say (null) and say what ids look like."""
    if isinstance(node, list):
        for item in node:
            _tidy(item)
    if not isinstance(node, dict):
        return
    _tidy_none(node)
    options = node.get("anyOf")
    if isinstance(options, list) and {"type": "null"} in options:
        options.remove({"type": "null"})
        if node.get("default", 0) is None:
            del node["default"]
        if len(options) == 1:
            del node["anyOf"]
            # What the field says of itself goes before what its kind says.
            node |= {**options[0], **node}
    if isinstance(node.get("additionalProperties"), dict):
        node["propertyNames"] = {"pattern": f"^{ID.pattern}$"}
    for value in list(node.values()):
        _tidy(value)
