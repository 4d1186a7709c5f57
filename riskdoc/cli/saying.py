"""The one way to the terminal: what is said comes as plain lines, whatever a document holds.

A title can clear the screen and print a verdict of its own; a name can turn a line around, or end
it. So every line goes through here: what moves the cursor, turns or hides letters stands as its
code, and a line of ours is one line.
"""

from __future__ import annotations

import contextlib
import io
import os
import shutil
import sys
import textwrap
import unicodedata
from collections.abc import Callable, Iterable
from typing import Any, TextIO

from riskdoc.i18n.say import ISOLATES

OUTSIDE = 3
"""Exit code where something outside failed; see `commands`."""
SECOND = "\ufdd0"
"""Stands for the second column of a wide letter while lines are counted; no letter itself."""


def plain(text: str) -> str:
    r"""A text on one line, with codes in place of what moves, turns or hides.

    >>> plain("a" + chr(27) + "[2J"), plain("two\nlines")
    ('a\\x1b[2J', 'two\\nlines')
    """
    if text.isprintable():
        return text
    kept = " \u00a0" + (ISOLATES if _balanced(text) else "")
    return "".join(each if each.isprintable() or each in kept else _code(each) for each in text)


def _balanced(text: str) -> bool:
    """Whether each mark that sets a text apart is closed: only then does it turn nothing else."""
    depth = 0
    for each in text:
        depth += (each == ISOLATES[0]) - (each == ISOLATES[1])
        if depth < 0:
            return False
    return depth == 0


def _code(char: str) -> str:
    return char.encode("unicode_escape").decode("ascii")


def tell(text: str = "") -> None:
    """Says a line on standard output."""
    _write(sys.stdout, plain(text) + "\n")


def tell_lines(lines: Iterable[str]) -> None:
    """Says lines on standard output, each by itself."""
    for each in lines:
        tell(each)


def tell_json(text: str) -> None:
    """Says JSON on standard output: the same data, with what moves or hides in codes of JSON."""
    for line in text.split("\n"):  # between its parts; inside a text JSON has no line end
        codes = (char if char.isprintable() else _json_code(char) for char in line)
        _write(sys.stdout, "".join(codes) + "\n")


def complain(text: str) -> None:
    """Says a line on standard error; where that is gone, nobody is there to read it."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        _write(sys.stderr, plain(text) + "\n")


def columns() -> int:
    """How many columns a line of ours takes: what the terminal has, within 60 and 120.

    A terminal that is narrower breaks lines itself, and what is foreign may then begin one.
    """
    return max(60, min(shutil.get_terminal_size((100, 24)).columns, 120))


def wrapped(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    """The lines of a text, after these beginnings; what is foreign in it ends no line.

    Counted in columns: a letter of East Asian scripts takes two (UAX 11).

    >>> wrapped("漢字漢字 abc", 9)
    ['漢字漢字', 'abc']
    """
    spaced = "".join(each + SECOND * _is_wide(each) for each in plain(text))
    width -= SECOND in spaced  # a letter may be parted from its second column, which then counts
    lines = textwrap.wrap(spaced, width, initial_indent=first, subsequent_indent=rest)
    return [each.replace(SECOND, "") for each in lines]


def _is_wide(char: str) -> bool:
    return unicodedata.east_asian_width(char) in "WF"


def printed(command: Callable[[], int]) -> int:
    """Runs a command, then prints all it said at once; its exit code.

    A reader that hangs up early changes nothing about the job; a full disk is told.
    """
    with contextlib.redirect_stdout(io.StringIO()) as said:
        code = command()
    try:
        _write(sys.stdout, said.getvalue())
        sys.stdout.flush()
    except OSError as error:
        # What is still buffered would raise again when the interpreter closes the stream.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if not isinstance(error, BrokenPipeError):
            complain(f"the output could not be written: {error.strerror}")
            return OUTSIDE
    return code


def _write(stream: TextIO, text: str) -> None:
    """Writes a text; what the encoding of the stream does not have stands as its code."""
    encoding = getattr(stream, "encoding", None) or "utf-8"
    if not _has(encoding, text):
        text = "".join(each if _has(encoding, each) else _json_code(each) for each in text)
    stream.write(text)


def _has(encoding: str, text: str) -> bool:
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True


def _json_code(char: str) -> str:
    """A character as JSON writes it in letters, which reads well in a line of text too."""
    raw = char.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{raw[at : at + 2].hex()}" for at in range(0, len(raw), 2))


class Plain:
    """A stream for whatever else writes on the terminal: help, slips of the hand, warnings.

    Line ends go through: who writes here writes whole texts.
    """

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Writes a text, made plain line by line."""
        _write(self._stream, "\n".join(plain(each) for each in text.split("\n")))
        return len(text)

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401  (of any kind)
        """What else a stream has is that of the stream."""
        return getattr(self._stream, name)


def guarded(run: Callable[[], None]) -> None:
    """Runs the command line so that nothing reaches the terminal but plain lines.

    A failure within is told in a sentence, and never with the exit code of a verdict.
    """
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is not None:
            setattr(sys, name, Plain(stream))
    try:
        run()
    except Exception as error:  # whatever it is, it is no verdict
        complain(
            f"riskdoc failed within ({_where(error)}: {str(error)[:200]}). Nothing that was "
            "printed before counts. Please report it, with the file that was given."
        )
        sys.exit(OUTSIDE)


def _where(error: BaseException) -> str:
    """Kind of an error, and the line of ours at which it was raised."""
    trace, at = error.__traceback__, ""
    while trace is not None:
        name = str(trace.tb_frame.f_globals.get("__name__", ""))
        if name.startswith("riskdoc.") and name != __name__:
            at = f" at {name}:{trace.tb_lineno}"
        trace = trace.tb_next
    return f"{type(error).__name__}{at}"
