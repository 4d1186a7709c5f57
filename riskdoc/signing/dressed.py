"""A job file that another program opens as a document: what is seen there, nobody signed.

The digest of a job is that of what it says, not of its bytes: a comment may hold anything, a whole
page for a browser too. So a job file is taken only where nothing would show it as a page.
"""

from __future__ import annotations

import re

_NAMES = re.compile(
    r"\.([xe]?html?|xht|shtml?|mht|mhtml|svgz?|xml|xslt?|xps|pdf|e?ps|rtf|hta|md|mdown|mkd|markdown"
    r"|docx?|docm|odt|epub|eml|tex|gz|zip)[. ]*\Z",
    re.IGNORECASE,
)
"""Names by which readers open a document; some systems pass over points and blanks at the end."""
_MARKS = re.compile(
    rb"<html|<!doctype|<script|<body|<svg|%pdf-|<head|<title|<h1|<iframe|<\?xml|<style|<table|<a "
    rb"|<img|<div|<font|<center|<meta|<link|<br|<p>|<b>",
    re.IGNORECASE,
)
"""What a program looks for that tells the kind of a file by its bytes."""


def dressed(name: str, raw: bytes) -> str:
    """Why a job file may be taken for a document, in words; empty for a plain one.

    >>> dressed("plan.yaml", b"riskdoc: 1")
    ''
    """
    if _NAMES.search(name):
        return (
            "a job file is not taken under this name: other programs would show it as a page that "
            "nobody computed or signed. Give a job file a name that ends in .yaml"
        )
    found = _MARKS.search(raw)
    if found:
        return (
            f"a job file with {found[0].decode()} in its bytes is not taken: other programs may "
            "show it as a page that nobody computed or signed. Take that out"
        )
    return ""
