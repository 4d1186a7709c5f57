"""Collects every text that is said, for translators: from the code and from the tables.

`python -m riskdoc.i18n.collect` brings every translation up to the code: texts that are new
come in empty, texts that are no longer said go out. With the code of a language that has none yet,
as in `python -m riskdoc.i18n.collect fr`, it begins one; its rule for plural forms, in the head of
the file, is then to be put right.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import polib
import yaml

from riskdoc.i18n.say import FOLDER

PACKAGE = FOLDER.parent
SAID = {"say": 1, "mark": 1, "message": 1, "many": 2, "plural": 2}
"""Functions that say a text, and how many of their first arguments are texts.

Read from the syntax tree: extractors that read tokens miss a text inside a call inside a call, and
run the two of `say(a if b else c)` together.
"""
COLUMN = re.compile(r"(.+?) \| [\d.]+(?: \| \w+)?")
"""How the code describes a column of a table; its first part is a text."""
UNSAID = {
    *("id", "group", "fatal", "checks", "states", "test", "unit", "none", "lines"),
    *("how_decided", "applies", "judge", "acts", "methods", "signers", "stated", "acceptances"),
    "standing",
}
"""Keys of the tables whose values are no texts."""
RULES = {"when", "triggers", "decided", "gates", "gate", "rests_on", "nothing", "remark"}
"""Keys under which conditions stand, in whose words only these are texts, where they have any."""
RULE_TEXTS = {"say", "what", "lacking", "unknown", "nothing"}
HOW = "requirements"
"""In the sets `how` says to us how an item is decided; it is not printed."""


Entry = tuple[str, str]
"""A text, and the one for several where a number decides between the two; else nothing."""


def texts() -> dict[str, str]:
    """Every text that is said, with the file it stands in, in the order of the files.

    >>> texts()["adequate"]
    'judgement/verdicts.py'
    """
    found: dict[str, str] = {}
    for entry, place in entries().items():
        for text in filter(None, entry):
            found.setdefault(text, place)
    return found


def entries() -> dict[Entry, str]:
    """Every entry of a catalogue, with the file it stands in, in the order of the files."""
    found: dict[Entry, str] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        words = ((word, "") for word in _words(path))
        for entry in (*in_code(path.read_text("utf-8")), *words):
            found.setdefault(entry, str(path.relative_to(PACKAGE)))
    for path in sorted(PACKAGE.rglob("*.yaml")):
        if path.name != "faults.yaml":
            for text in of_table(path):
                found.setdefault((text, ""), str(path.relative_to(PACKAGE)))
    # What is said of one by its number, too, has one entry.
    counted = {one for one, several in found if several}
    return {each: place for each, place in found.items() if each[1] or each[0] not in counted}


def of_code(code: str) -> Iterator[str]:
    """Texts in a piece of code: what is said or marked, and the titles of columns.

    >>> list(of_code('say("a {b}", b=1); many("one", "{count}", 2); columns("Load | 20 | number")'))
    ['a {b}', 'one', '{count}', 'Load']
    """
    for entry in in_code(code):
        yield from filter(None, entry)


def in_code(code: str) -> Iterator[Entry]:
    """Entries of a catalogue in a piece of code.

    >>> list(in_code('message("a"); plural("one", "{count}", 2)'))
    [('a', ''), ('one', '{count}')]
    """
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            said = [
                each.value
                for each in node.args[: SAID.get(node.func.id, 0)]
                if isinstance(each, ast.Constant) and isinstance(each.value, str)
            ]
            if said:
                yield said[0], "".join(said[1:])
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            column = COLUMN.fullmatch(node.value)
            if column:
                yield column[1].strip(), ""


def _words(path: Path) -> Iterator[str]:
    """Words of closed lists, which are said as the job writes them, and of enumerations."""
    name = str(path.relative_to(PACKAGE))
    if name == "job/model.py":
        yield from literals(path.read_text("utf-8"))
    elif name in {"judgement/verdicts.py", "requirements/items.py", "mitigation/change.py"}:
        yield from members(path.read_text("utf-8"))


def literals(code: str) -> Iterator[str]:
    """The words of every closed list of a piece of code.

    >>> list(literals('Role = Literal["working", "safety"]'))
    ['working', 'safety']
    """
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Subscript) and ast.unparse(node.value) == "Literal":
            for each in ast.walk(node.slice):
                if isinstance(each, ast.Constant) and isinstance(each.value, str):
                    yield each.value


def members(code: str) -> Iterator[str]:
    """The values of every enumeration of a piece of code."""
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.ClassDef) and any("Enum" in ast.unparse(b) for b in node.bases):
            for each in node.body:
                if isinstance(each, ast.Assign) and isinstance(each.value, ast.Constant):
                    yield str(each.value.value)


def of_table(path: Path) -> Iterator[str]:
    """Texts in a table, in order."""
    skipped = UNSAID | ({"how"} if path.parent.name == HOW else set())
    raw = yaml.safe_load(path.read_text("utf-8"))
    yield from _inside(raw, "", skipped)
    if path.parent.name == "tables":
        # Rows without a title are named by their id.
        yield from (row for row, body in raw["rows"].items() if "title" not in body)


def _inside(
    part: Any,  # noqa: ANN401  (YAML)
    key: str,
    skipped: set[str],
    within: bool = False,
) -> Iterator[str]:
    if isinstance(part, dict):
        for name, each in part.items():
            yield from _inside(each, str(name), skipped, within or name in RULES)
    elif isinstance(part, list):
        for each in part:
            yield from _inside(each, key, skipped, within)
    elif isinstance(part, str) and (key in RULE_TEXTS if within else key not in skipped):
        # What has words in braces alone is put together, not said.
        text = re.sub(r"\{\w+\}", "", part) if within else part
        yield from [part] if re.search(r"[A-Za-z]{2}", text) else []


def brought_up(translation: polib.POFile, wanted: dict[Entry, str]) -> polib.POFile:
    """A translation with exactly the texts that are said, in their order."""
    known = {(each.msgid, each.msgid_plural): each for each in translation}
    made = polib.POFile(wrapwidth=100)
    made.metadata = dict(translation.metadata)
    for (text, several), place in wanted.items():
        old = known.get((text, several))
        entry = polib.POEntry(msgid=text, flags=_flags(text + several), comment=place)
        if several:
            entry.msgid_plural = several
            entry.msgstr_plural = dict.fromkeys(range(_forms(translation)), "")
        if old:
            entry.msgstr, entry.msgstr_plural = old.msgstr, old.msgstr_plural or entry.msgstr_plural
        made.append(entry)
    return made


def _forms(translation: polib.POFile) -> int:
    """How many forms of a word the language has for numbers."""
    found = re.search(r"nplurals=(\d+)", translation.metadata.get("Plural-Forms", ""))
    return int(found[1]) if found else 2


def _flags(text: str) -> list[str]:
    return ["python-brace-format"] if re.search(r"\{\w+[:!}]", text) else []


def main(folder: Path, *begun: str) -> None:
    """Brings every translation in a folder up to the code, and begins those of these languages."""
    wanted = entries()
    for language in begun:
        path = folder / f"{language}.po"
        if not path.exists():
            empty = polib.POFile()
            empty.metadata = {
                "Project-Id-Version": "riskdoc",
                "Language": language,
                "Content-Type": "text/plain; charset=UTF-8",
                "Content-Transfer-Encoding": "8bit",
                "Plural-Forms": "nplurals=2; plural=(n != 1);",
            }
            empty.save(str(path))
    for path in sorted(folder.glob("*.po")):
        brought_up(polib.pofile(str(path)), wanted).save(str(path))


if __name__ == "__main__":
    main(FOLDER, *sys.argv[1:])
