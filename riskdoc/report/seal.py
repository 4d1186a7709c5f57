"""The seal of a file: the SHA-256 of its bytes, written into itself.

It shows that a file is as it was written, without any of ours at hand; it does not show who wrote
it, since whoever changes a file can seal it anew. What does is computing the document again.
In a PDF it stands as the second identifier of the file, which is to change with its contents (ISO
32000-1, 14.4), in HTML in the head. It is taken over the file with noughts in its place.
"""

from __future__ import annotations

import hashlib
import re

NO_SEAL = "sha256:" + "0" * 64
_IN_HTML = re.compile(rb'<meta name="seal" content="sha256:([0-9a-f]{64})">')
_IN_PDF = re.compile(rb"/ID \[\([^)]{1,64}\) \(([0-9a-f]{32})\)\]")


def sealed_html(raw: bytes) -> bytes:
    """An HTML file with its seal. Raises ValueError where there is no one place for it."""
    return _sealed(raw, _IN_HTML)


def sealed_pdf(raw: bytes) -> bytes:
    """A PDF with its seal. Raises ValueError where there is no one place for it."""
    return _sealed(raw, _IN_PDF)


def seal_holds(raw: bytes) -> bool:
    """Whether a file, PDF or HTML, is as it was sealed; False where it has no one seal.

    >>> page = sealed_html(b'<meta name="seal" content="' + NO_SEAL.encode() + b'">text')
    >>> seal_holds(page), seal_holds(page.replace(b"text", b"next"))
    (True, False)
    """
    pattern = _IN_PDF if raw.startswith(b"%PDF") else _IN_HTML
    try:
        return _sealed(raw, pattern) == raw
    except ValueError:
        return False


def _sealed(raw: bytes, pattern: re.Pattern[bytes]) -> bytes:
    found = list(pattern.finditer(raw))
    if len(found) != 1:
        raise ValueError(f"a file has one place for its seal, and this has {len(found)}")
    start, end = found[0].span(1)
    blank = raw[:start] + b"0" * (end - start) + raw[end:]
    seal = hashlib.sha256(blank).hexdigest().encode("ascii")
    return raw[:start] + seal[: end - start] + raw[end:]
