"""What a browser may do with our HTML: apply the styles it holds, show what it carries, no more.

A second wall behind escaping: should anything of a job come into a page as markup after all, it
runs nothing, asks nobody, and has no style of its own (Content Security Policy Level 3, W3C). It
protects a page that we wrote; who writes the page himself writes the policy too.
"""

from __future__ import annotations

import base64
import hashlib
import re

_STYLES = re.compile("<style>(.*?)</style>", re.DOTALL)


def policy(style: str) -> str:
    """The policy of a page whose `style` elements are these, each allowed by its hash.

    >>> policy("<style>a</style>").partition(";")[0]
    "default-src 'none'"
    """
    hashes = " ".join(f"'sha256-{_hash(each)}'" for each in _STYLES.findall(style))
    return (
        f"default-src 'none'; style-src {hashes}; img-src data:; font-src data:; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")
