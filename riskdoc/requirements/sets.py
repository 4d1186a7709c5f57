"""Reads requirement sets: those shipped here, and a user's own file beside the job."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from importlib import resources
from typing import Any, TypeVar, get_args

import yaml
from pydantic import ValidationError

from riskdoc.conditions.vocabulary import RefusedError, Words, told
from riskdoc.i18n.say import mark
from riskdoc.job.faults import shown
from riskdoc.job.files_beside import Beside, beside_bytes, why
from riskdoc.job.model import SETS, Method
from riskdoc.requirements.item_load_checks import verify_set
from riskdoc.requirements.items import SCOPE, Answer, Item, RequirementSet
from riskdoc.requirements.judges import Decided, OfSet

Record = TypeVar("Record", bound=Words)
MAX_BYTES = 1024 * 1024
MAX_DEPTH = 24  # the deepest of the shipped sets needs 16
_TEXTS = ("title", "edition", "about", "scope")
_OF_SET = {"id", *_TEXTS, "excludes", "left_out", "coverage", "source", "provenance", "items",
           "methods", "signers", *OfSet.model_fields}  # fmt: skip
_OF_ITEM = {"clause", "asks", "test", "applies", "how", "limit", "note", "provenance",
            "checks", "lines", "states", "stated", "none", *Decided.model_fields}  # fmt: skip
DIFFERENT = "different people"
"""What `signers` of a set says where no person may sign in two roles."""


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
    raw = resources.files("riskdoc.requirements").joinpath(f"{name}.yaml").read_bytes()
    text = raw.decode("utf-8")
    return replace(_set(_parsed(text, f"{name}.yaml"), f"{name}.yaml"), raw=raw)


def own_set(beside: Beside, name: str) -> RequirementSet:
    """A set of the user's own: items that are asked, or decided by checks or by stated keys.

    It is a plain file in the folder of the job file. Raises `SetError` with what is wrong and what
    would do.
    """
    try:
        raw = beside_bytes(beside, name, MAX_BYTES)
    except OSError as error:
        raise SetError(f"{name} cannot be read: {why(error)}") from error
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise SetError(f"{name} is not UTF-8") from error
    found = _set(_parsed(text, name), name)
    if found.id in SETS:
        # Its items would be judged as those of the set whose name it takes.
        raise SetError(
            f"{name}: the id {shown(found.id)} is that of a set known here; take another"
        )
    for item in found.items:
        if item.id == SCOPE:
            continue  # made here, from its methods
        _own_item(item, name)
        of = f"item {shown(item.id)}"
        by = item.by is not None and bool(item.by.decided)
        ways = {"asked": True, "computed": by or item.checks, "declared": by or item.states}
        if not ways[item.test]:
            key = "checks" if item.test == "computed" else "states"
            raise SetError(
                f"{name}: {of} is {item.test} and has no {key!r}. Write {key}: "
                f"[{'line/*/margin/rated' if key == 'checks' else 'sites.*.wind'}], or test: asked."
            )
    return replace(found, raw=raw, own=True)


def _own_item(item: Item, name: str) -> None:
    """A crew's own item must not pass for want of a check, nor carry what nobody looks at."""
    of = f"item {shown(item.id)}"
    if item.none not in (Answer.NOT_APPLICABLE, Answer.NOT_DEMONSTRATED, Answer.NOT_MET):
        raise SetError(
            f"{name}: {of}: none is {item.none.value!r}; a check that is not there shows "
            "nothing. Write not demonstrated, not applicable or not met."
        )
    by = item.by is not None and item.by.decided
    if item.test == "asked" and (item.checks or item.states or by):
        raise SetError(
            f"{name}: {of} is asked of a person and names checks or states, which would "
            "not count. Write test: computed or declared, or take them away."
        )


def _parsed(text: str, name: str) -> dict[str, Any]:
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        _written_out(yaml.parse(text, Loader=loader), name)
        _once(yaml.compose(text, Loader=loader), name)
        raw = yaml.load(text, Loader=loader)  # noqa: S506  (a safe loader, the C one if there is one)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        where = f", line {mark.line + 1}" if mark is not None else ""
        why = shown(str(getattr(error, "problem", error)), 200)[1:-1]
        raise SetError(f"{name}{where} is not YAML: {why}") from error
    except SetError:
        raise
    except (ValueError, RecursionError) as error:
        # A date of a month that is not there, or a depth that Python cannot follow.
        why = shown(str(error), 200)[1:-1]
        raise SetError(f"{name} is not YAML that can be read: {why}") from error
    if not isinstance(raw, dict):
        raise SetError(f"{name} holds no keys. Start with id, title, edition, about, scope, items.")
    return raw


def _written_out(events: Iterable[yaml.Event], name: str) -> None:
    """Refuses what makes a small file large, or a text something else: aliases, tags and depth."""
    depth = 0
    for event in events:
        depth += isinstance(event, yaml.CollectionStartEvent)
        depth -= isinstance(event, yaml.CollectionEndEvent)
        tag = getattr(event, "tag", None)
        if isinstance(event, yaml.AliasEvent):
            wrong = f"the alias {shown(str(event.anchor))}; write what it stands for"
        elif tag is not None:
            wrong = f"the tag {shown(str(tag))}; leave it out"
        elif depth > MAX_DEPTH:
            wrong = f"more than {MAX_DEPTH} levels"
        else:
            continue
        line = event.start_mark.line + 1 if event.start_mark else 1
        raise SetError(f"{name}, line {line}: {wrong}")


def _once(node: yaml.Node | None, name: str) -> None:
    """Refuses a key that stands twice: the first would be dropped, and an item with it."""
    left, seen = [node], set()
    while left:
        part = left.pop()
        if part is None or id(part) in seen:
            continue
        seen.add(id(part))
        if isinstance(part, yaml.SequenceNode):
            left += part.value
        elif isinstance(part, yaml.MappingNode):
            left += [value for _, value in part.value]
            _keys_once([key for key, _ in part.value], name)


def _keys_once(keys: list[yaml.Node], name: str) -> None:
    known = set()
    for key in keys:
        if not isinstance(key, yaml.ScalarNode):
            continue
        if key.value in known:
            line = key.start_mark.line + 1
            raise SetError(f"{name}, line {line}: the key {shown(key.value)} stands twice")
        known.add(key.value)


def _text(value: Any, name: str, what: str) -> str:  # noqa: ANN401  (whatever stands in the file)
    if value is None or isinstance(value, (bool, dict, list, set)):
        raise SetError(f"{name}: {what} must be text")
    try:
        text = str(value)
        text.encode("utf-8")
    except ValueError as error:  # half a letter, or a number of too many digits
        raise SetError(f"{name}: {what} is no text that can be printed") from error
    return text


def _texts(value: Any, name: str, what: str) -> tuple[str, ...]:  # noqa: ANN401
    if value is None:
        return ()
    if not isinstance(value, list):
        raise SetError(f"{name}: {what} must be a list, like [{shown(str(value))[1:-1]}]")
    return tuple(_text(each, name, f"an entry of {what}") for each in value)


def _set(raw: dict[str, Any], name: str) -> RequirementSet:
    _known(raw, _OF_SET, name, "the set")
    lacking = [key for key in (*_TEXTS, "items") if not raw.get(key)]
    if lacking:
        raise SetError(f"{name} lacks {', '.join(lacking)}")
    items = raw["items"]
    if not isinstance(items, dict):
        raise SetError(f"{name}: 'items' must hold items by id")
    texts = {key: _text(raw[key], name, key) for key in _TEXTS}
    others = {
        key: _text(raw.get(key, ""), name, key) for key in ("coverage", "source", "provenance")
    }
    methods = _methods(raw.get("methods"), name)
    made = tuple(_item(_text(str(id), name, "an id"), body, name) for id, body in items.items())
    of_set = _read(OfSet, raw, name, "the set")
    try:
        verify_set(of_set, {item.id: item.by or Decided() for item in made})
    except RefusedError as error:
        raise SetError(f"{name}: {error}") from error
    return RequirementSet(
        id=_text(raw.get("id", name), name, "id"),
        excludes=_texts(raw.get("excludes"), name, "excludes"),
        left_out=_texts(raw.get("left_out"), name, "left_out"),
        items=(*((_SCOPE,) if methods else ()), *made),
        methods=methods,
        signers_differ=_signers(raw.get("signers"), name),
        whole=of_set,
        raw=b"",
        own=False,
        **texts,
        **others,
    )


_SCOPE = Item(
    id=SCOPE,
    clause=mark("scope of the set"),
    asks=mark("The set is for the kind of work that this job is about."),
    test="computed",
    applies="Every job.",
    how="work.method is one of the methods of the set: met. Another, or not stated: not "
    "demonstrated, and nothing else of the set is asked.",
    limit="",
    note="",
    provenance="published",
)


def _methods(value: Any, name: str) -> tuple[str, ...]:  # noqa: ANN401
    """The kinds of work a set reaches, in the words of `work.method`."""
    found, words = _texts(value, name, "methods"), get_args(Method)
    for each in found:
        if each not in words:
            raise SetError(f"{name}: methods holds {shown(each)}; known are {', '.join(words)}")
    return found


def _signers(value: Any, name: str) -> bool:  # noqa: ANN401
    if value not in (None, DIFFERENT):
        raise SetError(
            f"{name}: signers is {shown(str(value))}; write {DIFFERENT}, or leave it out"
        )
    return value is not None


def _item(id: str, body: Any, name: str) -> Item:  # noqa: ANN401  (whatever stands in the file)
    of = f"item {shown(id)}"
    if not isinstance(body, dict):
        raise SetError(f"{name}: {of} holds no keys")
    _known(body, _OF_ITEM, name, of)
    lacking = [key for key in ("clause", "asks", "test", "provenance") if not body.get(key)]
    if lacking:
        raise SetError(f"{name}: {of} lacks {', '.join(lacking)}")
    if body["test"] not in ("computed", "declared", "asked"):
        raise SetError(
            f"{name}: {of}: test is {shown(str(body['test']))}; write computed, declared or asked"
        )
    if body.get("lines", "") not in ("", "people", "things"):
        raise SetError(
            f"{name}: {of}: lines is {shown(str(body['lines']))}; write people or things"
        )
    words = [answer.value for answer in Answer]
    if body.get("none", "not demonstrated") not in words:
        raise SetError(
            f"{name}: {of}: none is {shown(str(body['none']))}; one of {', '.join(words)}"
        )
    words = [Answer.AS_STATED.value, Answer.TO_BE_ANSWERED.value]
    if body.get("stated", words[0]) not in words:
        raise SetError(
            f"{name}: {of}: stated is {shown(str(body['stated']))}; one of {', '.join(words)}"
        )
    if id == SCOPE:
        raise SetError(f"{name}: the id {SCOPE!r} is that of the item which methods makes")
    what = f"{of}: "
    texts = {
        key: _text(body.get(key, ""), name, what + key)
        for key in _OF_ITEM - {"checks", "states", "stated", "none", *Decided.model_fields}
    }
    by = _read(Decided, body, name, of)
    return Item(
        id=id,
        checks=_texts(body.get("checks"), name, f"{what}checks"),
        states=_texts(body.get("states"), name, f"{what}states"),
        none=Answer(body.get("none", "not demonstrated")),
        stated=Answer(body.get("stated", Answer.AS_STATED.value)),
        by=by,
        **texts,
    )


def _read(record: type[Record], raw: dict[str, Any], name: str, what: str) -> Record:
    """The keys of a record that stand in a part of the file, read by their words."""
    try:
        return record.model_validate({key: raw[key] for key in record.model_fields if key in raw})
    except ValidationError as error:
        raise SetError(f"{name}: {what}: {told(error)}") from error


def _known(raw: dict[str, Any], known: set[str], name: str, what: str) -> None:
    strange = [str(key) for key in raw if key not in known]
    if strange:
        raise SetError(
            f"{name}: {what} has the unknown key {shown(strange[0])}; known are "
            f"{', '.join(sorted(known))}"
        )
