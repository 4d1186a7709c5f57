"""Makes figures: a number with its equation in symbols, the same with numbers, and its inputs."""

from __future__ import annotations

from riskdoc.assess.records import Figure
from riskdoc.assess.spread import Spread
from riskdoc.language.units import plain


def figure(
    id: str,
    title: str,
    number: Spread,
    unit: str,
    symbol: str,
    formula: str,
    worked: str,
    source: str,
    **parts: Spread | float,
) -> Figure:
    """A figure of the report.

    The equation is `symbol = formula`. Symbols stay as they are in every language; a formula of
    words, or with words in it, is said. `worked` is the formula again with `{name}` where the
    expected value of each of `parts` goes.

    >>> from riskdoc.assess.spread import exact
    >>> figure("a/b", "twice", exact(4), "m", "y", "2 x", "2 · {x}", "", x=exact(2)).worked
    'y = 2 · 2 = 4 m'
    """
    numbers = {
        name: plain(part.expected if isinstance(part, Spread) else part)
        for name, part in parts.items()
    }
    result = plain(number.expected) + ("" if unit == "1" else f" {unit}")
    return Figure(
        id=id,
        title=title,
        subject=id.rsplit("/", maxsplit=1)[0],
        range=number.range,
        unit=unit,
        symbol=symbol,
        formula=f"{symbol} = {formula}",
        worked=f"{symbol} = {worked.format(**numbers)} = {result}",
        inputs=tuple(number.inputs.values()),
        influences=number.influences(),
        source=source,
    )
