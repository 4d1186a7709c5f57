"""Reads requirement sets: those shipped here, and a user's own file beside the job."""

from __future__ import annotations

from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

import yaml

from riskdoc.job.model import SETS
from riskdoc.requirements.records import Answer, Item, RequirementSet

MAX_BYTES = 1024 * 1024
_TEXTS = ("title", "edition", "about", "scope")
_OF_SET = {"id", *_TEXTS, "excludes", "left_out", "coverage", "source", "provenance", "items"}
_OF_ITEM = {"clause", "asks", "test", "applies", "how", "limit", "note", "provenance",
            "checks", "lines", "states", "none"}  # fmt: skip


class SetError(ValueError):
    """A requirement set of the user's own that cannot be used, with the file and why."""


@cache
def requirement_set(name: str) -> RequirementSet:
    """A set that is known by its name.

    >>> requirement_set("us-rope-descent").title
    'United States: rope descent systems'
    """
    if name not in SETS:
        raise SetError(f"there is no requirement set {name!r}; there are {', '.join(SETS)}")
    text = resources.files("riskdoc.requirements").joinpath(f"{name}.yaml").read_text("utf-8")
    return _set(_parsed(text, f"{name}.yaml"), f"{name}.yaml")


def own_set(path: Path) -> RequirementSet:
    """A set of the user's own: items that are asked, or decided by checks or by stated keys.

    Raises `SetError` with what is wrong and what would do.
    """
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise SetError(f"{path.name} cannot be read: {error.strerror}") from error
    if len(raw) > MAX_BYTES:
        raise SetError(f"{path.name} is larger than {MAX_BYTES} bytes")
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise SetError(f"{path.name} is not UTF-8") from error
    found = _set(_parsed(text, path.name), path.name)
    for item in found.items:
        ways = {"asked": True, "computed": bool(item.checks), "declared": bool(item.states)}
        if not ways[item.test]:
            key = "checks" if item.test == "computed" else "states"
            raise SetError(
                f"{path.name}: item {item.id} is {item.test} and has no {key!r}. Write {key}: "
                f"[{'line/*/margin/rated' if key == 'checks' else 'sites.*.wind'}], or test: asked."
            )
    return found


def _parsed(text: str, name: str) -> dict[str, Any]:
    try:
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
        raw = yaml.load(text, Loader=loader)  # noqa: S506  (a safe loader, the C one if there is one)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        where = f", line {mark.line + 1}" if mark is not None else ""
        raise SetError(f"{name}{where} is not YAML: {getattr(error, 'problem', error)}") from error
    if not isinstance(raw, dict):
        raise SetError(f"{name} holds no keys. Start with id, title, edition, about, scope, items.")
    return raw


def _set(raw: dict[str, Any], name: str) -> RequirementSet:
    _known(raw, _OF_SET, name, "the set")
    lacking = [key for key in (*_TEXTS, "items") if not raw.get(key)]
    if lacking:
        raise SetError(f"{name} lacks {', '.join(lacking)}")
    items = raw["items"]
    if not isinstance(items, dict):
        raise SetError(f"{name}: 'items' must hold items by id")
    return RequirementSet(
        id=str(raw.get("id", name)),
        title=str(raw["title"]),
        edition=str(raw["edition"]),
        about=str(raw["about"]),
        scope=str(raw["scope"]),
        excludes=tuple(str(each) for each in raw.get("excludes") or ()),
        left_out=tuple(str(each) for each in raw.get("left_out") or ()),
        coverage=str(raw.get("coverage", "")),
        source=str(raw.get("source", "")),
        provenance=str(raw.get("provenance", "")),
        items=tuple(_item(str(id), body, name) for id, body in items.items()),
    )


def _item(id: str, body: Any, name: str) -> Item:  # noqa: ANN401  (whatever stands in the file)
    if not isinstance(body, dict):
        raise SetError(f"{name}: item {id} holds no keys")
    _known(body, _OF_ITEM, name, f"item {id}")
    lacking = [key for key in ("clause", "asks", "test", "provenance") if not body.get(key)]
    if lacking:
        raise SetError(f"{name}: item {id} lacks {', '.join(lacking)}")
    if body["test"] not in ("computed", "declared", "asked"):
        raise SetError(
            f"{name}: item {id}: test is {body['test']!r}; write computed, declared or asked"
        )
    if body.get("lines", "") not in ("", "people", "things"):
        raise SetError(f"{name}: item {id}: lines is {body['lines']!r}; write people or things")
    words = [answer.value for answer in Answer]
    if body.get("none", "not shown") not in words:
        raise SetError(f"{name}: item {id}: none is {body['none']!r}; one of {', '.join(words)}")
    texts = {key: str(body.get(key, "")) for key in _OF_ITEM - {"checks", "states", "none"}}
    return Item(
        id=id,
        checks=tuple(str(each) for each in body.get("checks") or ()),
        states=tuple(str(each) for each in body.get("states") or ()),
        none=Answer(body.get("none", "not shown")),
        **texts,
    )


def _known(raw: dict[str, Any], known: set[str], name: str, what: str) -> None:
    strange = [str(key) for key in raw if key not in known]
    if strange:
        raise SetError(
            f"{name}: {what} has the unknown key {strange[0]!r}; known are "
            f"{', '.join(sorted(known))}"
        )
