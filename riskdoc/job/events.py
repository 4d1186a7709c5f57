"""From YAML text to a tree, by the parse events, so that nothing grows before it was bounded.

YAML's own guesses change numbers (`010` becomes 8, `12:30` becomes 750, `no` becomes false),
so nothing is converted here. What can make a small file large, or hide one value behind
another, is refused: aliases, tags, merge keys, repeated keys, depth and size.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sized
from typing import Any

import yaml

from riskdoc.job.faults import Code, Fault, shown
from riskdoc.job.nodes import Nodes, Path, Tree, Written, where
from riskdoc.quantities.quantity import Place

MAX_DEPTH = 12  # the format itself needs 7
MAX_EVENTS = 20_000  # the largest job imaginable has some thousands
MAX_ENTRIES = 500  # in one list or section, so that no check that compares pairs grows long
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_NULL = frozenset({"", "~", "null", "Null", "NULL"})
# What YAML 1.2 lets stand in a stream (section 5.1, c-printable).
_UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class _Stop(Exception):  # noqa: N818  # it ends the reading and is no error of the program
    """Reading cannot go on past this fault."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


def parse(text: str, name: str) -> Nodes:
    """The tree of one YAML text, with every fault that lies in the YAML itself.

    >>> nodes = parse("a: [010, no]", "job.yaml")
    >>> nodes.root, str(nodes.places["a", 1])
    ({'a': ['010', 'no']}, 'job.yaml:1:10')
    """
    nodes = Nodes(name)
    odd = _UNPRINTABLE.search(text)
    if odd:
        nodes.faults.append(_control_character(text, odd, name))
        return nodes
    try:
        nodes.root = _Builder(text, nodes).document()
    except _Stop as stop:
        nodes.root = None
        # What stops the reading explains the rest; told alone it is not buried.
        nodes.faults.append(stop.fault)
    except yaml.MarkedYAMLError as error:
        nodes.root = None
        nodes.faults.append(_not_yaml(error, name))
    return nodes


def _control_character(text: str, odd: re.Match[str], name: str) -> Fault:
    before = text[: odd.start()]
    place = Place(name, before.count("\n") + 1, odd.start() - before.rfind("\n"))
    return Fault(
        Code.CONTROL_CHARACTER,
        place,
        "job file",
        f"a character that cannot stand in YAML: U+{ord(odd.group()):04X}",
        "Delete it; it is invisible in most editors.",
    )


def _problem(error: yaml.MarkedYAMLError) -> str:
    """The parser's own words, but for the tab, which it only calls a character."""
    problem = str(error.problem or error.context)
    tab = "cannot start any token" in problem or "\\t" in problem
    return "a tab stands where the indent should be" if tab and _at_tab(error) else problem


def _at_tab(error: yaml.MarkedYAMLError) -> bool:
    mark = error.problem_mark
    return mark is not None and (
        mark.buffer is None or mark.buffer[mark.pointer : mark.pointer + 1] == "\t"
    )


def _not_yaml(error: yaml.MarkedYAMLError, name: str) -> Fault:
    mark = error.problem_mark or error.context_mark
    place = Place(name, mark.line + 1, mark.column + 1) if mark else Place(name, 1, 1)
    return Fault(
        Code.NOT_YAML,
        place,
        "job file",
        f"this is not YAML: {_problem(error)}",
        "Look here and at the line above: indent with spaces, close every quote and bracket, "
        "and put text that holds ': ' or a comma inside braces in quotes.",
    )


class _Builder:
    """Builds the tree from parse events, so that nothing grows before it was bounded."""

    def __init__(self, text: str, nodes: Nodes) -> None:
        self.nodes = nodes
        self.events = self._counted(yaml.parse(text, Loader=_LOADER))
        self.quiet = 0  # above zero inside a part that was refused as a whole
        self.anchored: set[str] = set()

    def _counted(self, events: Iterator[Any]) -> Iterator[Any]:
        for count, event in enumerate(events):
            if count > MAX_EVENTS:
                raise self._stop(
                    Code.TOO_MANY_PARTS,
                    event,
                    f"more than {MAX_EVENTS} keys, values and brackets",
                    "A job file has some hundreds; split the job.",
                )
            yield event

    def document(self) -> Tree | None:
        """The one document of the stream; None when there is nothing in it."""
        next(self.events)
        if isinstance(next(self.events), yaml.StreamEndEvent):
            return None
        event = next(self.events)
        empty = isinstance(event, yaml.ScalarEvent) and event.value == "" and event.style == ""
        tree = self.node(event, ())
        next(self.events)
        more = next(self.events)
        if isinstance(more, yaml.DocumentStartEvent):
            raise self._stop(
                Code.SECOND_DOCUMENT,
                more,
                "a second document starts here",
                "Write one job per file and leave the line '---' out.",
            )
        return None if empty else tree

    def node(self, event: Any, path: Path) -> Tree:  # noqa: ANN401  # PyYAML's events are untyped
        """The part that starts with this event."""
        self._refuse_extras(event, path)
        if isinstance(event, yaml.MappingStartEvent):
            return self._mapping(event, path)
        if isinstance(event, yaml.SequenceStartEvent):
            return self._sequence(event, path)
        place = self._place(event)
        self._record(self.nodes.places, path, place)
        if isinstance(event, yaml.AliasEvent):
            return Written("*", place)
        plain = event.style in ("", None)
        return Written(event.value, place, missing=plain and event.value in _NULL)

    def _refuse_extras(self, event: Any, path: Path) -> None:  # noqa: ANN401
        """Aliases, anchors and tags: the value counts as refused and is not looked at again."""
        anchor = event.anchor
        if isinstance(event, yaml.AliasEvent):
            self._refuse(path)
            if anchor in self.anchored:
                return  # told at the anchor: one mistake, one fault
        if anchor:
            self.anchored.add(anchor)
            self._fault(
                Code.ANCHOR_OR_ALIAS,
                event,
                path,
                (
                    f"{shown(anchor)} is a YAML anchor or alias",
                    "Write the value out where it is needed; quote a text that starts with & or *.",
                ),
            )
        elif getattr(event, "tag", None):
            self._refuse(path)
            self._fault(
                Code.TAG,
                event,
                path,
                (
                    f"{shown(event.tag.replace('tag:yaml.org,2002:', '!!'))} is a YAML tag",
                    "Leave it out; a text that starts with ! goes in quotes.",
                ),
            )

    def _sequence(self, start: Any, path: Path) -> Tree:  # noqa: ANN401
        self._enter(start, path)
        items: list[Tree] = []
        while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
            self._bounded(event, items)
            items.append(self.node(event, (*path, len(items))))
        return items

    def _mapping(self, start: Any, path: Path) -> Tree:  # noqa: ANN401
        self._enter(start, path)
        entries: dict[str, Tree] = {}
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            self._bounded(event, entries)
            key = self._key(event, path, entries)
            if key is None:
                self._skip(path)
                continue
            self._record(self.nodes.keys, (*path, key), self._place(event))
            self._record(self.nodes.places, (*path, key), self._place(event))
            entries[key] = self.node(next(self.events), (*path, key))
        return entries

    def _enter(self, start: Any, path: Path) -> None:  # noqa: ANN401
        if len(path) >= MAX_DEPTH:
            raise self._stop(
                Code.TOO_DEEP,
                start,
                f"more than {MAX_DEPTH} levels inside each other",
                "The format needs at most 7; look for a stray bracket or indent.",
            )
        # A list or mapping under a key is found at its key, which is what a reader looks for.
        if path not in self.nodes.keys:
            self._record(self.nodes.places, path, self._place(start))

    def _key(self, event: Any, path: Path, entries: dict[str, Tree]) -> str | None:  # noqa: ANN401
        """The key, or None when it was refused and its value is to be passed over."""
        if not isinstance(event, yaml.ScalarEvent) or event.value.strip() == "":
            self._hole(path)
            said = ("a key that is empty or not a word", "Write a word, a colon and a value.")
            self._fault(Code.BAD_KEY, event, path, said)
            self._pass_over(event)
            return None
        key: str = event.value
        if key == "<<":
            self._hole(path)
            said = ("'<<' is a YAML merge key", "Write the keys out here.")
            self._fault(Code.MERGE_KEY, event, path, said)
            return None
        self._refuse_extras(event, (*path, key))
        if key in entries:
            self._twice(event, (*path, key))
            return None
        return key

    def _twice(self, event: Any, path: Path) -> None:  # noqa: ANN401
        first = self.nodes.keys.get(path)
        line = f", the first is on line {first.line}" if first else ""
        message = f"the key {shown(event.value)} stands here a second time{line}"
        self._fault(Code.DUPLICATE_KEY, event, path, (message, "Keep one of the two."))

    def _bounded(self, event: Any, entries: Sized) -> None:  # noqa: ANN401
        if len(entries) >= MAX_ENTRIES:
            raise self._stop(
                Code.TOO_MANY_PARTS,
                event,
                f"more than {MAX_ENTRIES} entries in one list or section",
                "A job has some dozens; split the job.",
            )

    def _pass_over(self, event: Any) -> None:  # noqa: ANN401
        if isinstance(event, yaml.CollectionStartEvent):
            self.quiet += 1
            self.node(event, ("?",))
            self.quiet -= 1

    def _skip(self, path: Path) -> None:
        """Read the value of a refused key without keeping it or looking for faults in it."""
        self.quiet += 1
        self.node(next(self.events), (*path, "?"))
        self.quiet -= 1

    def _record(self, into: dict[Path, Place], path: Path, place: Place) -> None:
        if not self.quiet:
            into[path] = place

    def _refuse(self, path: Path) -> None:
        if not self.quiet:
            self.nodes.broken.add(path)

    def _fault(self, code: Code, event: Any, path: Path, said: tuple[str, str]) -> None:  # noqa: ANN401
        """Note a fault; `said` is what was found and what would do."""
        if not self.quiet:
            place = self._place(event)
            self.nodes.faults.append(Fault(code, place, where(path), *said))

    def _hole(self, path: Path) -> None:
        if not self.quiet:
            self.nodes.holes.add(path)

    def _stop(self, code: Code, event: Any, message: str, tip: str) -> _Stop:  # noqa: ANN401
        return _Stop(Fault(code, self._place(event), "job file", message, tip))

    def _place(self, event: Any) -> Place:  # noqa: ANN401
        mark = event.start_mark
        return Place(self.nodes.name, mark.line + 1, mark.column + 1)
