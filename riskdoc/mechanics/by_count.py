"""Equations that have as many terms as a job has parts: edges, stations, cases, stages, ropes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import reduce

import numpy as np

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.fall import effective_length
from riskdoc.mechanics.friction import MOST_TURN, capstan_ratio, signed_ratio
from riskdoc.mechanics.hauling import advantage, compound
from riskdoc.mechanics.kit import packed_volume
from riskdoc.mechanics.loads import GRAVITY, weight
from riskdoc.mechanics.strength import derated
from riskdoc.mechanics.stretch import own_weight_stretch, sink
from riskdoc.mechanics.values import Values, plain

_BEND = {
    "σ": Symbol("1", -1, 1), "μ": Symbol("1", high=1), "θ": Symbol("rad", high=MOST_TURN)
}  # fmt: skip
_PART = {"T": Symbol("N"), "L": Symbol("m")}
_RATIO = "e^({{σ{n}}} · {{μ{n}}} · {{θ{n}}})"
CAPSTAN = mark("Baker & Haynes, Engineering Statics, ch. 9 (capstan equation), edge by edge")


def _numbered(count: int, **symbols: Symbol) -> dict[str, Symbol]:
    return {f"{name}{n}": each for n in range(1, count + 1) for name, each in symbols.items()}


def _joined(sign: str, form: str, count: int) -> str:
    return sign.join(form.format(n=n) for n in range(1, count + 1))


def _ratios(numbers: Sequence[Values]) -> list[Values]:
    """The ratio at each bend; numbers are σ, μ, θ of each in turn."""
    return [
        signed_ratio(numbers[n + 1], numbers[n + 2], numbers[n]) for n in range(0, len(numbers), 3)
    ]


def _past(count: int, start: str, sign: str, work: Callable[[Values, Values], Values]) -> Equation:
    """A tension that starts as a symbol and is multiplied or divided by the ratio of each bend."""

    def carried(first: Values, *bends: Values) -> Values:
        return plain(reduce(work, _ratios(bends), first))

    formula = sign.join([f"{{{start}}}", *(_RATIO.format(n=n) for n in range(1, count + 1))])
    symbols = {start: Symbol("N")} | _numbered(count, **_BEND)
    return Equation(carried, "T", "N", formula, symbols, CAPSTAN)


def tension_past(count: int) -> Equation:
    """Tension on the far side of so many bends, the first being the one next to the load.

    >>> tension_past(1).in_symbols
    'T load · e^(σ₁ · μ₁ · θ₁)'
    """
    return _past(count, "T_load", " · ", np.multiply)


def tension_at_snag(count: int) -> Equation:
    """Tension at a load that has snagged, from a pull at the anchor, past so many bends.

    The first is the one next to the anchor.

    >>> tension_at_snag(2).in_symbols
    'F / e^(σ₁ · μ₁ · θ₁) / e^(σ₂ · μ₂ · θ₂)'
    """
    return _past(count, "F", " / ", np.divide)


def stretching_length(count: int) -> Equation:
    """Rope that stretches in a fall over so many bends, `fall.effective_length`.

    >>> stretching_length(1).in_symbols
    'L₁ + L₂ / e^(μ₁ · θ₁)'
    """

    def whole(*each: Values) -> Values:
        lengths, bends = each[: count + 1], each[count + 1 :]
        ratios = [capstan_ratio(bends[n], bends[n + 1]) for n in range(0, len(bends), 2)]
        return effective_length(lengths, ratios)

    terms = ["{L1}"]
    for n in range(1, count + 1):
        angles = " + ".join(f"{{μ{k}}} · {{θ{k}}}" for k in range(1, n + 1))
        terms.append(f"{{L{n + 1}}} / e^({angles})")
    symbols = _numbered(count + 1, L=Symbol("m"))
    symbols |= _numbered(count, μ=_BEND["μ"], θ=_BEND["θ"])
    return Equation(
        whole, "L", "m", " + ".join(terms), symbols,
        mark("capstan equation applied to the stretch beyond each edge"),
    )  # fmt: skip


def strength_left(count: int, *, floor: bool) -> Equation:
    """Strength left under so many factors, and where a standard has shown it, at least that.

    >>> strength_left(2, floor=True).in_symbols
    'max(S · f₁ · f₂, S knot)'
    """

    def left(whole: Values, *each: Values) -> Values:
        found = derated(whole, *each[:count])
        return plain(np.maximum(found, each[count])) if floor else found

    product = " · ".join(["{S}", *(f"{{f{n}}}" for n in range(1, count + 1))])
    symbols = {"S": Symbol("N")} | _numbered(count, f=Symbol("1", high=1))
    symbols |= {"S_knot": Symbol("N")} if floor else {}
    return Equation(
        left, "S′", "N", f"max({product}, {{S_knot}})" if floor else product, symbols,
        mark("stated strength; factors as listed; knots in series never multiply"),
    )  # fmt: skip


def of_several(
    work: Callable[[Values, Values], Values], signs: Sequence[object], about: Equation
) -> Equation:
    """The least (`np.minimum`), greatest (`np.maximum`) or sum (`np.add`) of so many numbers.

    `about` says symbol, unit, source and words; its formula does not count.

    >>> of_several(np.minimum, ("a", "b", "c"), WEAKEST).in_symbols
    'min(a, b, c)'
    """
    names = [f"n{n}" for n in range(1, len(signs) + 1)]
    places = [f"{{{name}}}" for name in names]
    called = {np.minimum: "min", np.maximum: "max"}.get(work)  # type: ignore[call-overload]
    if called is None or len(signs) == 1:
        formula = " + ".join(places)
    else:
        formula = f"{called}({', '.join(places)})"
    return Equation(
        lambda *each: reduce(work, each), about.symbol, about.unit, formula,
        {n: Symbol(about.unit, sign=s) for n, s in zip(names, signs, strict=True)}, about.source,
        words=about.words,
    )  # fmt: skip


WEAKEST = Equation(min, "S′", "N", "", {}, mark("in series the weakest station governs"))
WHOLE = Equation(
    sum, "E", "1", "", {},
    mark("ranking index of this project (judgement), no life of a rope; exponents as listed"),
    words=mark("one of each movement, in the order of their figures"),
)  # fmt: skip
PULL = Equation(max, "T", "N", "", {}, mark("tension at the anchor as checks take it"))
PULLS = Equation(
    sum, "ΣT", "N", "", {},
    mark(
        "lines that end there and redirects that hang on it, each at its greatest; the directions "
        "are not known, and no sum of them is greater"
    ),
)  # fmt: skip


def hauling_advantage(stages: Sequence[tuple[int, bool]]) -> Equation:
    """Advantage of stages: the strands of each, and whether it ends at a fixed pulley.

    >>> hauling_advantage([(3, False), (2, True)]).in_symbols
    '(1 + η + η^2) · (1 + η) · η'
    """

    def whole(efficiency: Values) -> Values:
        return compound(*(advantage(count, efficiency, fixed) for count, fixed in stages))

    terms = ["1", "{η}", *(f"{{η}}^{n}" for n in range(2, 100))]
    parts = [
        f"({' + '.join(terms[:count])})" + (" · {η}" if fixed else "") for count, fixed in stages
    ]
    return Equation(
        whole, "A", "1", " · ".join(parts), {"η": Symbol("1", high=1, above=True)},
        mark("strand by strand; OpenStax and Spon's Workshop Receipts agree in shape"),
    )  # fmt: skip


def stretch_of(count: int) -> Equation:
    """How far so many parts of a rope stretch, the lowest hanging free, with its own weight.

    >>> stretch_of(2).in_symbols
    '(T₁ · L₁ + T₂ · L₂) / (k · K) + w · g · L^2 / (2 · K)'
    """

    def whole(*each: Values) -> Values:
        first, modulus, strands, rest = each[:2], each[2], each[3], each[4:]
        parts, (mass, below) = (*first, *rest[:-2]), rest[-2:]
        own = own_weight_stretch(weight(mass), below, modulus)
        return plain(np.add(sink(parts[::2], parts[1::2], modulus, strands), own))

    terms = _joined(" + ", "{{T{n}}} · {{L{n}}}", count)
    rope = {"K": Symbol("N", above=True), "k": Symbol("1", 1)}
    symbols = {**_numbered(1, **_PART), **rope, **_numbered(count, **_PART)}
    return Equation(
        whole, "x", "m", f"({terms}) / ({{k}} · {{K}}) + {{w}} · {{g}} · {{L}}^2 / (2 · {{K}})",
        {**symbols, "w": Symbol("kg/m"), "L": Symbol("m"), "g": GRAVITY},
        mark("definition of modulus; the rope's own weight hangs below the last edge"),
    )  # fmt: skip


def kit_mass(ropes: int, devices: int) -> Equation:
    """Mass of so many ropes and devices.

    >>> kit_mass(1, 2).in_symbols
    'w₁ · L₁ + m₁ + m₂'
    """

    def whole(*each: Values) -> Values:
        lines = [np.multiply(each[n], each[n + 1]) for n in range(0, 2 * ropes, 2)]
        return plain(reduce(np.add, [*lines, *each[2 * ropes :]]))

    terms = [f"{{w{n}}} · {{L{n}}}" for n in range(1, ropes + 1)]
    terms += [f"{{m{n}}}" for n in range(1, devices + 1)]
    symbols = _numbered(ropes, w=Symbol("kg/m"), L=Symbol("m"))
    symbols |= _numbered(devices, m=Symbol("kg"))
    return Equation(whole, "m", "kg", " + ".join(terms), symbols, mark("each piece once"))


def kit_volume(ropes: int) -> Equation:
    """Packed volume of so many ropes.

    >>> kit_volume(2).in_symbols
    'π / 4 · (d₁^2 · L₁ + d₂^2 · L₂) / fill'
    """

    def whole(*each: Values) -> Values:
        fill = each[-1]
        return plain(sum(packed_volume(each[n], each[n + 1], fill) for n in range(0, 2 * ropes, 2)))

    terms = _joined(" + ", "{{d{n}}}^2 · {{L{n}}}", ropes)
    symbols = _numbered(ropes, d=Symbol("m", above=True), L=Symbol("m"))
    return Equation(
        whole, "V", "m^3", f"π / 4 · ({terms}) / {{fill}}",
        symbols | {"fill": Symbol("1", high=1, above=True)}, mark("geometry; fill as listed"),
    )  # fmt: skip
