"""With which versions a document was made, and where those here are others.

Other versions may print other bytes, and other versions of riskdoc may judge otherwise: then what
does not come out the same is no proof that somebody changed it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from riskdoc import __version__
from riskdoc.job.faults import shown
from riskdoc.signing.canonical import canonical
from riskdoc.signing.content import Content
from riskdoc.signing.libraries import machine, packages
from riskdoc.verification.taking import Taken


def other_version(taken: Taken) -> bool:
    """Whether the document was made by another version of riskdoc."""
    return taken.plain.get("version") != __version__


def others(taken: Taken) -> str:
    """What was of another version where the document was made, in words; empty where nothing."""
    told = []
    if other_version(taken):
        told.append(f"riskdoc {_version(taken.plain.get('version'))} (here {__version__})")
    held = taken.plain.get("libraries")
    stated = {**_versions(held, packages()), **taken.stated.machine}
    here = {**packages(), **machine()}
    told += [
        f"{name} {_version(stated[name])} (here {here[name]})"
        for name in here
        if stated[name] != here[name]
    ]
    return ", ".join(told)


def _versions(held: object, known: Mapping[str, str]) -> dict[str, object]:
    plain: Mapping[str, Any] = held if isinstance(held, dict) else {}
    return {name: plain.get(name, "of no version stated") for name in known}


def _version(value: object) -> str:
    return shown(str(value), 30)[1:-1]


def as_made(new: Content, taken: Taken) -> bool:
    """Whether a content computed here is that of the document but for the versions it names."""
    held = taken.plain.get("libraries")
    if not isinstance(held, dict) or set(held) != set(packages()):
        return False  # it names more than libraries, or not all of them
    keys = ("version", "libraries")
    plain = {**new.plain, **{key: taken.plain.get(key) for key in keys}}
    try:
        return canonical(plain) == taken.content
    except ValueError:  # what the document names are no versions
        return False
