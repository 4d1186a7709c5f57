"""From the tree of what was written to the model, with every refusal in our own words."""

from __future__ import annotations

import re
from collections import defaultdict
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from riskdoc.job.draft import draft
from riskdoc.job.faults import Code, Fault, Refused, nearest, shown
from riskdoc.job.fields import ID
from riskdoc.job.model import Job
from riskdoc.job.nodes import Nodes, Path, Tree, Written, where
from riskdoc.job.ruled_out import NONE, settled, written_path
from riskdoc.job.shapes import at, bare, choices, fields_of, is_part


def validated(nodes: Nodes) -> tuple[Job | None, list[Fault]]:
    """The job, or what is sound of it, with the faults of its keys and values.

    The job is None only when the file is no mapping at all.
    """
    if not isinstance(nodes.root, dict) or () in nodes.broken:
        return None, [] if () in nodes.broken else [_not_a_job(nodes)]
    check = _Check(nodes)
    check.ids(nodes.root)
    settling = settled(nodes.root)
    check.none_and_more(settling.both)
    try:
        job = Job.model_validate(settling.tree)
    except ValidationError as error:
        check.tell(error.errors(include_url=False))
        return draft(settling.tree, check.bad | nodes.broken), check.faults
    if nodes.broken or nodes.holes or settling.both:
        job = draft(settling.tree, check.bad | nodes.broken)
    return job, check.faults


def _not_a_job(nodes: Nodes) -> Fault:
    found = "a list" if isinstance(nodes.root, list) else "a single value"
    return Fault(
        Code.NOT_A_JOB,
        nodes.place(()),
        where(()),
        f"found {found} where the keys of a job belong",
        "Start with the line 'riskdoc: 1', then 'job:' and the other parts.",
    )


class _Check:
    """Turns what pydantic found into faults, one for each mistake."""

    def __init__(self, nodes: Nodes) -> None:
        self.nodes = nodes
        self.faults: list[Fault] = []
        self.bad: set[Path] = set()

    def ids(self, root: dict[str, Tree]) -> None:
        """Refuse ids that could not stand in the names of figures and files."""
        for section, entries in root.items():
            annotation = at(Job, (section,))
            if is_part(bare(annotation)) or annotation is None or not isinstance(entries, dict):
                continue
            for key in entries:
                if not ID.fullmatch(key):
                    self._bad_id(section, key)

    def _bad_id(self, section: str, key: str) -> None:
        plain = re.sub(r"[^a-z0-9]+", "_", key.casefold()).strip("_")[:40]
        hint = f"Did you mean {shown(plain)}? " if ID.fullmatch(plain) else ""
        self._add(
            Code.BAD_ID,
            (section, key),
            f"{shown(key)} cannot be an id",
            f"{hint}An id starts with a small letter and has small letters, digits and _, "
            "40 at most.",
            at_key=True,
        )

    def none_and_more(self, paths: list[Path]) -> None:
        """A key either does not apply or has its values."""
        for path in paths:
            self.bad.add(path)
            self._add(
                Code.NONE_AND_MORE,
                path,
                "it says that there is none, and more besides",
                "Keep 'none' with its reason alone, or take it out.",
            )

    def tell(self, errors: list[ErrorDetails]) -> None:
        """One fault for each mistake behind the errors."""
        unknown: dict[Path, list[str]] = defaultdict(list)
        missing: dict[Path, list[str]] = defaultdict(list)
        self._commas(errors)
        for error in errors:
            path, kind = written_path(error["loc"]), error["type"]
            if self._told(path) or _only_seems_short(error):
                continue
            if kind == "missing" and isinstance(path[-1], int):
                kind, path = "too few", path[:-1]  # a direction of two numbers is no direction
            self.bad.add(path)
            if kind == "extra_forbidden":
                unknown[path[:-1]].append(str(path[-1]))
            elif kind == "missing":
                missing[path[:-1]].append(str(path[-1]))
            else:
                self._value(path, error)
        for parent in {**unknown, **missing}:
            self._keys(parent, unknown[parent], missing[parent])

    def _told(self, path: Path) -> bool:
        return any(path[:end] in self.nodes.broken for end in range(len(path) + 1))

    def _commas(self, errors: list[ErrorDetails]) -> None:
        """Inside braces a decimal comma cuts a number in two: {radius: 0,5 mm}.

        The second half becomes a key without a value, and the first may even be a sound value.
        """
        for error in errors:
            *parent, key = error["loc"]
            if error["type"] != "extra_forbidden" or not _is_missing(error["input"]):
                continue
            keys = list(_mapping_at(self.nodes.root, tuple(parent)).items())
            index = [name for name, _ in keys].index(str(key))
            before, half = keys[index - 1] if index else ("", "")
            if isinstance(half, str) and half[-1:].isdigit() and str(key)[:1].isdigit():
                path = (*parent, before)
                self.nodes.broken |= {path, error["loc"]}
                self.bad.add(path)
                self._add(
                    Code.DECIMAL_COMMA,
                    path,
                    f"{shown(f'{half},{key}')} has a comma in a number",
                    f"Write a decimal point: {half}.{key}.",
                )

    def _keys(self, parent: Path, unknown: list[str], missing: list[str]) -> None:
        """An unknown key beside a missing one that is spelled nearly so is one slip."""
        part = bare(at(Job, parent))
        present = _mapping_at(self.nodes.root, parent)
        absent = [key for key in fields_of(part) if key not in present]
        for key in unknown:
            near = nearest(key, missing) or nearest(key, absent) or nearest(key, [*fields_of(part)])
            if near is None:
                self.bad.update((*parent, name) for name in absent)
                tip = (
                    f"Keys that may stand here: {', '.join(absent)}."
                    if absent
                    else "Every key known here stands here already."
                )
            else:
                self.bad.add((*parent, near))
                missing[:] = [name for name in missing if name != near]
                tip = f"Did you mean {shown(near)}?"
            if near is None and _is_missing(present.get(key)):
                tip = f"If it belongs to the text before the comma, quote that text. {tip}"
            self._add(Code.UNKNOWN_KEY, (*parent, key), f"unknown key {shown(key)}", tip, True)
        if parent in self.nodes.holes:
            return
        for key in missing:
            about = fields_of(part)[key].description
            self._add(Code.MISSING_KEY, parent, f"{shown(key)} is missing", f"Add it: {about}")

    def _value(self, path: Path, error: ErrorDetails) -> None:
        refused = error.get("ctx", {}).get("error")
        if _is_missing(error["input"]):
            refused = _missing_value(at(Job, path), self._required(path))
        if not isinstance(refused, Refused):
            refused = _refused(at(Job, path), error)
        self._add(refused.code, path, refused.message, refused.tip)

    def _required(self, path: Path) -> bool:
        if path[-1] == NONE:
            return True
        parent = bare(at(Job, path[:-1]))
        return not is_part(parent) or fields_of(parent)[str(path[-1])].is_required()

    def _add(self, code: Code, path: Path, message: str, tip: str, at_key: bool = False) -> None:
        place = self.nodes.keys[path] if at_key else self.nodes.place(path)
        spot = path[:-1] if code is Code.UNKNOWN_KEY else path
        self.faults.append(Fault(code, place, where(spot), message, tip))


def _is_missing(value: object) -> bool:
    return isinstance(value, Written) and value.missing


def _mapping_at(tree: Tree | None, path: Path) -> dict[str, Tree]:
    here: Any = tree
    for key in path:
        here = here[key]
    return here if isinstance(here, dict) else {}


def _only_seems_short(error: ErrorDetails) -> bool:
    """Whether entries are there and only unsound ones are missing from pydantic's count."""
    return error["type"] == "too_short" and len(error["input"]) >= error["ctx"]["min_length"]


def _missing_value(annotation: Any, required: bool) -> Refused:  # noqa: ANN401
    wanted = _wanted(annotation)
    if wanted == "a single value":
        tip = "Write it after the colon" + ("." if required else ", or leave the key out.")
    else:
        tip = f"Write {'[]' if wanted == 'a list' else '{}'} if there is none."
    return Refused(Code.MISSING_VALUE, "missing value", tip)


def _wanted(annotation: Any) -> str:  # noqa: ANN401
    shape = bare(annotation)
    if is_part(shape) or getattr(shape, "__origin__", None) is dict:
        return "keys with values"
    return "a list" if getattr(shape, "__origin__", None) is tuple else "a single value"


def _found(value: object) -> str:
    if isinstance(value, dict):
        return "keys with values"
    return "a list" if isinstance(value, list) else f"the single value {shown(str(value))}"


def _refused(annotation: Any, error: ErrorDetails) -> Refused:  # noqa: ANN401
    kind, found, bounds = error["type"], error["input"], error.get("ctx", {})
    words = choices(annotation)
    if words and isinstance(found, str):
        return _unknown_word(found, words)
    if kind in ("greater_than_equal", "less_than_equal"):
        rule = f"at least {bounds['ge']}" if "ge" in bounds else f"at most {bounds['le']}"
        return Refused(
            Code.OUT_OF_BOUNDS, f"must be {rule}, found {shown(str(found))}", "Count again."
        )
    if kind in ("too_short", "too_long", "missing"):
        return _entries(kind, bounds, found)
    return _wrong_shape(_wanted(annotation), found)


def _unknown_word(found: str, words: tuple[str, ...]) -> Refused:
    near = nearest(found, words, close=0.82)
    listed = ", ".join(words)
    if len(words) == 1:
        return Refused(Code.UNKNOWN_WORD, f"{shown(found)} is not known here", f"Write {listed}.")
    hint = f"Did you mean {shown(near)}? " if near else ""
    return Refused(
        Code.UNKNOWN_WORD,
        f"{shown(found)} is none of the words that may stand here",
        f"{hint}One of: {listed}.",
    )


def _entries(kind: str, bounds: dict[str, Any], found: Any) -> Refused:  # noqa: ANN401
    if kind == "missing":
        return Refused(
            Code.WRONG_NUMBER_OF_ENTRIES, "an entry is missing", "Write three numbers: [x, y, z]."
        )
    few = kind == "too_short"
    bound = f"at least {bounds['min_length']}" if few else f"at most {bounds['max_length']}"
    return Refused(
        Code.WRONG_NUMBER_OF_ENTRIES,
        f"{'too few' if few else 'too many'} entries: {len(found)}",
        f"There must be {bound}.",
    )


def _wrong_shape(wanted: str, found: object) -> Refused:
    tips = {
        "keys with values": "Write keys and values, like {key: value}.",
        "a list": "Write a list in brackets: "
        + (f"[{shown(found)[1:-1]}]." if isinstance(found, str) else "[first, second]."),
        "a single value": "Write one value.",
    }
    return Refused(Code.WRONG_SHAPE, f"found {_found(found)}; wanted: {wanted}", tips[wanted])
