"""Writes keys and values into a job file as somebody with an editor would, and reads it again."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterable
from typing import Any

import yaml

from riskdoc.job.reading import JobFile, read_text
from riskdoc.mitigation.job_edits import Write
from support.demos import JOBS


def with_keys(file: JobFile, written: Iterable[Write]) -> JobFile:
    """The job file with these keys set, read anew; it must read without a fault."""
    tree = yaml.load(file.text, yaml.BaseLoader)
    for each in written:
        _set(tree, each.key, each.value)
    text = yaml.dump(tree, Dumper=_Plain, sort_keys=False, allow_unicode=True, width=10_000)
    reading = read_text(text, file.name, file.on, file.beside or JOBS)
    assert reading.file is not None, "\n".join(map(str, reading.faults))
    return reading.file


def _set(tree: Any, key: str, value: Any) -> None:
    """Sets a key of the form `lines.working.over[1].after`; a section that is missing is begun."""
    steps = [
        name if name else int(number) - 1
        for name, number in re.findall(r"([a-z_0-9]+)|\[([0-9]+)\]", key)
    ]
    here = tree
    for step in steps[:-1]:
        here = here.setdefault(step, {}) if isinstance(here, dict) else here[step]
    if value is None:
        del here[steps[-1]]
    else:
        here[steps[-1]] = copy.deepcopy(value)


class _Plain(yaml.SafeDumper):
    def ignore_aliases(self, _data: Any) -> bool:
        return True
