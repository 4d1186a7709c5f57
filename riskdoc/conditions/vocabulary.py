"""The base of what YAML may say: closed, typed records. A word that is not known is refused."""

from __future__ import annotations

import re
from datetime import date
from string import Formatter
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, model_validator
from pydantic import ValidationError as NotValid

from riskdoc.conditions.parts import SCOPES
from riskdoc.job.faults import nearest, shown
from riskdoc.quantities.quantity import Kind
from riskdoc.quantities.units import UNITS, to_si
from riskdoc.tables.loader import NAMES, cell, table


class RefusedError(ValueError):
    """Something in YAML that is no condition, with where it stands and what would do."""


class Words(BaseModel):
    """Words by key; a key that is not among those of the record is refused by its name."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    @model_validator(mode="before")
    @classmethod
    def _known(cls, raw: Any) -> Any:  # noqa: ANN401  (whatever stands in the file)
        if not isinstance(raw, dict):
            raise ValueError(f"{shown(str(raw))} must hold keys")
        known = sorted(info.alias or name for name, info in cls.model_fields.items())
        for key in raw:
            if key not in known:
                near = nearest(str(key), known)
                hint = f"did you mean {near}?" if near else f"known are {', '.join(known)}"
                raise ValueError(f"unknown word {shown(str(key))}; {hint}")
        return raw


def _many(raw: Any) -> Any:  # noqa: ANN401
    return tuple(raw) if isinstance(raw, list) else (raw,)


def _scope(name: str) -> str:
    if name not in SCOPES:
        near = nearest(name, list(SCOPES))
        hint = f"did you mean {near}?" if near else f"known are {', '.join(SCOPES)}"
        raise ValueError(f"unknown parts {shown(name)}; {hint}")
    return name


def template(text: str) -> str:
    """A text with words in braces, and nothing else in them: no part of a word, no form.

    `{least:g}` alone has one: the number of a clause, as short as it can be written.
    """
    for _, word, form, change in Formatter().parse(text.replace("{least:g}", "{least}")):
        if word is not None and (form or change or not re.fullmatch(r"[A-Za-z_]+", word)):
            raise ValueError(f"the text {shown(text)} may have plain words in braces alone")
    return text


def words_in(text: str) -> set[str]:
    """The words in braces of a text.

    >>> sorted(words_in("{line} at {edge}"))
    ['edge', 'line']
    """
    return {word for _, word, _, _ in Formatter().parse(text) if word is not None}


Many = Annotated[tuple[str, ...], BeforeValidator(_many)]
"""One text, or a list of them."""
ScopeName = Annotated[str, AfterValidator(_scope)]
ScopePath = Annotated[tuple[ScopeName, ...], BeforeValidator(_many)]
"""Parts to go over, or parts within parts, the outer ones first."""
Template = Annotated[str, AfterValidator(template)]


class Amount(Words):
    """A number to compare with: of a clause, in one unit or in the two it prints, or of a row.

    `800 mm` and `2` as YAML writes them, `[300 ft, 91 m]` for a clause that prints two, and
    `{row: hazards/long drop}` for a row of the tables.
    """

    figures: tuple[tuple[float, str], ...] = ()
    row: str = ""

    @property
    def exactly(self) -> float:
        """The number of the first unit in SI, or that of the row."""
        if self.row:
            return cell(*self.row.split("/")).expected
        return _si(*self.figures[0])

    @property
    def printed(self) -> float:
        """The number that the clause prints in its other unit, in SI."""
        return _si(*self.figures[-1])

    @property
    def kind(self) -> Kind:
        """What it measures; a plain number is a count."""
        if self.row:
            name, row = self.row.split("/")
            unit = table(name).rows[row]["value"].unit
            found: Kind = next(kind for kind in (Kind.COUNT, *Kind) if kind.si == unit)
            return found
        unit = self.figures[0][1]
        return UNITS[unit] if unit else Kind.COUNT

    @property
    def two(self) -> bool:
        """Whether the clause prints its number in two units."""
        return len(self.figures) > 1


def _si(number: float, unit: str) -> float:
    return to_si(number, unit) if unit else number


_FIGURE = re.compile(r"([0-9]{1,9}(?:\.[0-9]{1,9})?)(?: (\S+))?")


def _figure(raw: Any) -> tuple[float, str]:  # noqa: ANN401
    found = None if isinstance(raw, bool) else _FIGURE.fullmatch(str(raw))
    if found is None:
        raise ValueError(f"{shown(str(raw))} is no amount, like 8 m")
    number, unit = found.groups()
    if unit is not None and unit not in UNITS:
        raise ValueError(f"{shown(str(raw))} has an unknown unit; known are {', '.join(UNITS)}")
    return float(number), unit or ""


def _amount(raw: Any) -> Any:  # noqa: ANN401
    if isinstance(raw, dict):
        if set(raw) != {"row"} or str(raw["row"]).count("/") != 1:
            raise ValueError(f"{shown(str(raw))} is no amount; write 8 m, or {{row: table/row}}")
        name, row = str(raw["row"]).split("/")
        # Looked at without `cell`, which would note the row as used by whatever is judged now.
        if name not in NAMES or "value" not in table(name).rows.get(row, {}):
            raise ValueError(f"there is no row {shown(str(raw['row']))} with a value")
        return raw
    figures = tuple(map(_figure, raw if isinstance(raw, list) else [raw]))
    if len({UNITS.get(unit) for _, unit in figures}) > 1 or not 1 <= len(figures) <= 2:
        raise ValueError(f"{shown(str(raw))}: write one amount, or one in two units of a kind")
    return {"figures": figures}


Bound = Annotated[Amount, BeforeValidator(_amount)]


def _of_kind(kind: Kind) -> Any:  # noqa: ANN401  (a validator of pydantic)
    def of_kind(amount: Amount) -> Amount:
        if amount.kind is not kind:
            raise ValueError(f"it must be a {kind.value}")
        return amount

    return AfterValidator(of_kind)


ForceBound = Annotated[Bound, _of_kind(Kind.FORCE)]
MassBound = Annotated[Bound, _of_kind(Kind.MASS)]
CountBound = Annotated[Bound, _of_kind(Kind.COUNT)]
"""Bounds of one kind: forces, masses, and plain numbers."""


def told(error: NotValid) -> str:
    """The first thing that is wrong, with where it stands: entries are counted from 1.

    What is wrong deepest in the file is told, so that one slip is not told as another.
    """
    first = max(error.errors(), key=lambda each: len(each["loc"]))
    place = ""
    for step in first["loc"]:
        place += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if place else str(step)
    text = first["msg"].removeprefix("Value error, ")
    return f"{place}: {text}" if place else text


Days = date | str
"""A day, or the key of one in the job file."""
