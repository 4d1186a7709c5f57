"""The JSON Schema of what `check --json` prints, generated from its records."""

from __future__ import annotations

from typing import Any

from pydantic import TypeAdapter

from riskdoc.export.document import Document
from riskdoc.job.schema import DIALECT


def check_schema() -> dict[str, Any]:
    """The schema of version 1.

    >>> check_schema()["properties"]["exit"]["enum"]
    [0, 1]
    """
    schema = TypeAdapter(Document).json_schema()
    _tidy(schema)
    title = "What `riskdoc check JOB --json` prints, version 1"
    return {"$schema": DIALECT, **schema, "title": title}


def _tidy(node: Any) -> None:  # noqa: ANN401  # a schema is any JSON
    """Let a record have its own keys alone, and no titles made of their names."""
    if isinstance(node, list):
        for each in node:
            _tidy(each)
    if not isinstance(node, dict):
        return
    if isinstance(node.get("title"), str):
        del node["title"]
    if "properties" in node and node.get("type") == "object":
        node["additionalProperties"] = False
    for each in node.values():
        _tidy(each)
