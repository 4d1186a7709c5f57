"""Laws of the reader: units, ranges, places, and that no text makes it raise."""

import math
import time
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import jsonschema
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from riskdoc.job.faults import Refused, nearest, shown
from riskdoc.job.fields import ID
from riskdoc.job.nodes import Written
from riskdoc.job.quantity_text import quantity
from riskdoc.job.reading import read_text
from riskdoc.job.schema import job_schema
from riskdoc.quantities import units
from riskdoc.quantities.quantity import Kind
from riskdoc.quantities.units import UNITS, factors_by_pint, from_si, to_si, units_of

ON = date(2026, 3, 1)
BASE = Path(__file__).parents[1].joinpath("faults/base.yaml").read_text("utf-8")

# Written here by hand and apart from units.txt, each from the source beside it.
SI = {
    "N": 1.0,  # SI brochure 2019, table 4
    "kN": 1e3,
    "kgf": 9.80665,  # NIST SP 811 (2008), App. B.8, kilogram-force
    "lbf": 4.4482216152605,  # ISO 80000-4:2019, Annex; NIST SP 811 prints 4.448222
    "kg": 1.0,
    "g": 1e-3,
    "lb": 0.45359237,  # NIST SP 811, App. B.8, pound (avoirdupois), exact
    "m": 1.0,
    "mm": 1e-3,
    "cm": 1e-2,
    "in": 0.0254,  # NIST SP 811, App. B.8, inch, exact
    "ft": 0.3048,  # NIST SP 811, App. B.8, foot, exact
    "rad": 1.0,
    "deg": math.pi / 180,  # SI brochure, table 8
    "%": 0.01,
    "m/s": 1.0,
    "km/h": 1 / 3.6,  # NIST SP 811, App. B.8, 2.777 778 E-01
    "mph": 1609.344 / 3600,  # NIST SP 811, App. B.8, mile per hour, 4.4704 E-01 exact
    "knot": 1852 / 3600,  # NIST SP 811, App. B.8, knot, 5.144 444 E-01
    "g/m": 1e-3,
    "kg/m": 1.0,
    "lb/ft": 0.45359237 / 0.3048,  # NIST SP 811, App. B.8, 1.488 164 E+00
    "s": 1.0,
    "min": 60.0,
    "h": 3600.0,
}
OFFSET_SCALES = {"degC", "degF"}
NUMBERS = st.floats(-1e6, 1e6, allow_nan=False).map(lambda value: round(value, 6))


def test_the_table_here_covers_every_unit():
    assert set(SI) | OFFSET_SCALES == set(UNITS)


@pytest.mark.parametrize("unit", SI)
@given(value=NUMBERS)
@settings(max_examples=25)
def test_units_agree_with_factors_from_elsewhere(unit, value):
    assert to_si(value, unit) == pytest.approx(value * SI[unit], rel=1e-14)


@given(value=NUMBERS)
def test_celsius_and_fahrenheit(value):
    assert to_si(value, "degC") == pytest.approx(value + 273.15, rel=1e-14)
    # NIST SP 811, App. B.8: T/K = (t/degF + 459.67)/1.8
    assert to_si(value, "degF") == pytest.approx((value + 459.67) / 1.8, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize("unit", UNITS)
@given(value=NUMBERS)
@settings(max_examples=25)
def test_printing_undoes_reading(unit, value):
    assert from_si(to_si(value, unit), unit) == pytest.approx(value, rel=1e-9, abs=1e-9)


def test_the_kept_factors_are_pints():
    assert units.FACTORS.read_text("utf-8") == units.factors_text()
    assert dict(units.factors()) == factors_by_pint()


def test_factors_are_exact_as_their_definitions_are():
    """International yard and pound agreement 1959, 3rd CGPM 1901, SI brochure, NIST SP 811."""
    pound, gravity, foot = Fraction("0.45359237"), Fraction("9.80665"), Fraction("0.3048")
    by_hand = {
        "lb": pound, "kgf": gravity, "lbf": pound * gravity, "ft": foot, "in": foot / 12,
        "lb/ft": pound / foot, "mph": 5280 * foot / 3600, "knot": Fraction(1852, 3600),
        "km/h": Fraction(1000, 3600), "degF": Fraction(5, 9),
    }  # fmt: skip
    assert {unit: units.factors()[unit][0] for unit in by_hand} == by_hand
    assert units.factors()["degF"][1] == Fraction("273.15") - 32 * Fraction(5, 9)


def test_pint_is_asked_when_the_kept_factors_are_stale(tmp_path, monkeypatch):
    stale = tmp_path / "factors.txt"
    stale.write_text("# of another units.txt\nlb 0.5 0.0\n")
    monkeypatch.setattr(units, "FACTORS", stale)
    assert units.factors.__wrapped__()["lb"] == (Fraction("0.45359237"), 0)


@given(st.lists(NUMBERS, min_size=2, max_size=2), st.sampled_from(units_of(Kind.LENGTH)))
def test_a_range_keeps_its_order_and_has_its_middle(ends, unit):
    low, high = sorted(ends)
    q = quantity(Written(f"{low:f} to {high:f} {unit}"), Kind.LENGTH)
    assert q.low <= q.expected <= q.high
    assert (q.low, q.high) == pytest.approx((to_si(low, unit), to_si(high, unit)), rel=1e-15)
    assert q.expected == pytest.approx((q.low + q.high) / 2)
    if low < high:
        with pytest.raises(Refused, match="does not rise"):
            quantity(Written(f"{high:f} to {low:f} {unit}"), Kind.LENGTH)


@given(st.lists(NUMBERS, min_size=3, max_size=3))
def test_three_values_are_taken_as_they_stand(values):
    low, expected, high = sorted(values)
    q = quantity(Written(f"{low:f} / {expected:f} / {high:f} degC"), Kind.TEMPERATURE)
    stated = [v + 273.15 for v in (low, expected, high)]
    assert [q.low, q.expected, q.high] == pytest.approx(stated, rel=1e-15)


@given(st.integers(-(10**9), 10**9), st.sampled_from(["m", "cm", "mm"]))
def test_one_amount_is_one_number_however_it_is_spelled(thousandths, unit):
    exactly = Decimal(thousandths) / 10**6
    written = exactly / {"m": 1, "cm": Decimal("0.01"), "mm": Decimal("0.001")}[unit]
    q = quantity(Written(f"{written:f} {unit}"), Kind.LENGTH)
    assert (q.low, q.expected, q.high) == (float(exactly),) * 3


@given(st.integers(10**10, 10**12 - 2), st.sampled_from(sorted(UNITS)))
def test_a_digit_more_or_less_is_another_number(digits, unit):
    read = [quantity(Written(f"{n / 10**9:.9f} {unit}"), UNITS[unit]) for n in (digits, digits + 1)]
    assert read[0].expected < read[1].expected


def test_more_digits_than_can_be_told_apart_are_refused():
    assert quantity(Written("1.23456789012345 m"), Kind.LENGTH).low == 1.23456789012345
    with pytest.raises(Refused, match="more digits"):
        quantity(Written("1.23456789012345678 m"), Kind.LENGTH)


def test_temperatures_below_zero():
    q = quantity(Written("-5 to 3 degC"), Kind.TEMPERATURE)
    assert (q.low, q.expected, q.high) == pytest.approx((268.15, 272.15, 276.15))


@pytest.mark.parametrize("kind", [k for k in Kind if k is not Kind.COUNT])
@pytest.mark.parametrize("unit", UNITS)
def test_a_unit_of_another_kind_is_never_taken(kind, unit):
    if UNITS[unit] is kind:
        assert quantity(Written(f"1 {unit}"), kind).kind is kind
    else:
        with pytest.raises(Refused, match=f"is an? {UNITS[unit].value}"):
            quantity(Written(f"1 {unit}"), kind)


@pytest.mark.parametrize("unit", UNITS)
def test_case_is_kept(unit):
    for other in {unit.upper(), unit.lower(), unit.capitalize(), unit.swapcase()} - {*UNITS}:
        with pytest.raises(Refused, match="is no unit known here"):
            quantity(Written(f"1 {other}"), UNITS[unit])


SCRAPS = st.lists(
    st.sampled_from(
        [
            *"0123,./-+ %°½±٣\n\x00",
            "12",
            "0.5",
            " to ",
            " / ",
            "mm",
            "kN",
            "kg",
            "deg",
            "m/s",
            "e5",
            "nan",
            "inf",
            "1e999",
            "9" * 400,
        ]
    ),
    max_size=9,
).map("".join)


@given(st.one_of(st.text(max_size=120), SCRAPS), st.sampled_from(list(Kind)[:-1]))
@settings(max_examples=600)
def test_any_text_is_a_finite_quantity_or_a_refusal(text, kind):
    try:
        q = quantity(Written(text), kind)
    except Refused as refused:
        said = (refused.message, refused.tip)
    else:
        said = ("read",)
        assert all(math.isfinite(value) for value in (q.low, q.expected, q.high))
        assert q.low <= q.expected <= q.high
        # As it was written, but for blanks: they are printed, and could push a number off a page.
        assert q.written == " ".join(text.split())
    assert all(part and part.isprintable() for part in said)


def test_hostile_numbers_are_answered_at_once():
    start = time.perf_counter()
    for text in ("1" * 50_000, "1 / " * 20_000, "- " * 50_000, "a" * 100_000, "1." * 50_000):
        with pytest.raises(Refused):
            quantity(Written(text), Kind.LENGTH)
        nearest(text, ["friction", "radius"])
    # Unguarded, each of these takes minutes or the memory of the machine.
    assert time.perf_counter() - start < 10


LINES = BASE.splitlines()


@given(st.integers(0, len(LINES) - 1), st.sampled_from(["drop", "double", "cut", "dedent"]), SCRAPS)
@settings(max_examples=200, deadline=None)
def test_any_damage_to_a_job_is_told_and_never_raised(index, how, scrap):
    line = LINES[index]
    new = {
        "drop": [],
        "double": [line, line],
        "cut": [line[: len(line) // 2] + scrap],
        "dedent": [line.lstrip()],
    }[how]
    reading = read_text("\n".join([*LINES[:index], *new, *LINES[index + 1 :]]), "job.yaml", ON)
    assert (reading.file is None) == bool(reading.faults)
    for fault in reading.faults:
        assert str(fault).isprintable()
        assert 1 <= fault.place.line <= len(LINES) + 3


TREES = st.recursive(
    st.one_of(SCRAPS, st.integers(), st.none(), st.booleans(), st.text(max_size=20)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=6,
)
JOB = yaml.safe_load(BASE)


def spots(tree, path=()):
    """Every path in a tree."""
    yield path
    if isinstance(tree, dict | list):
        for key in tree if isinstance(tree, dict) else range(len(tree)):
            yield from spots(tree[key], (*path, key))


def replaced(tree, path, new):
    """The tree with another value at one path."""
    if not path:
        return new
    key, *rest = path
    copy = dict(tree) if isinstance(tree, dict) else list(tree)
    copy[key] = replaced(tree[key], rest, new)
    return copy


@given(st.sampled_from(list(spots(JOB))), TREES)
@settings(max_examples=300, deadline=None)
def test_any_value_anywhere_is_told_and_never_raised(path, new):
    text = yaml.safe_dump(replaced(JOB, path, new), allow_unicode=True)
    reading = read_text(text, "job.yaml", ON)
    assert (reading.file is None) == bool(reading.faults)


@given(st.text(max_size=300))
@settings(max_examples=200)
def test_any_text_as_a_file_is_told_and_never_raised(text):
    assert read_text(text, "job.yaml", ON).faults


BOMB = "a: &a [x,x,x,x,x,x,x,x,x]\n" + "".join(
    f"{name}: &{name} [{','.join(['*' + before] * 9)}]\n"
    for before, name in zip("abcdefgh", "bcdefghi", strict=True)
)


MANY_KEYS = "job: {" + ",".join(f"k{i}" for i in range(9000)) + "}"
MANY_PARTS = "".join(
    f"{section}: {{{','.join(f'x{i}: {{}}' for i in range(450))}}}\n"
    for section in ("people", "sites", "anchors", "edges", "ropes", "loads", "lines")
)


@pytest.mark.parametrize(
    "text",
    [
        BOMB,
        "[" * 500_000,
        "{a: " * 100_000,
        "- " * 100_000,
        "a: " + "[a," * 50_000,
        "x" * 900_000,
        MANY_KEYS,
        MANY_PARTS,
    ],
    ids=["aliases", "brackets", "braces", "dashes", "commas", "one word", "keys", "parts"],
)
def test_bombs_are_refused_at_once(text):
    start = time.perf_counter()
    assert read_text(text, "job.yaml", ON).faults
    # Unguarded, each of these takes minutes or the memory of the machine.
    assert time.perf_counter() - start < 10


def test_scalars_stay_as_they_were_written():
    odd = BASE.replace("revision: A", "revision: 010").replace("SP-014", "12:30")
    odd = odd.replace("people: 1, mass", "people: 01, mass").replace("level 3", "no")
    job = read_text(odd, "job.yaml", ON).file.job
    assert (job.job.revision, job.job.number, job.people["lead"].competence) == (
        "010",
        "12:30",
        "no",
    )
    assert job.loads["technician"].people == 1


def test_no_foreign_text_in_a_fault_can_move_a_cursor():
    odd = BASE.replace("  sleeve: {kind", '  "sle\\e[2Jeve": {kind').replace("[hold]", '"ho\\nld"')
    odd = odd.replace("2.6 m", '"2,6 \\x07m"').replace("length: 60 m", 'length: "15 m\\n"')
    faults = read_text(odd, "job.yaml", ON).faults
    assert len(faults) > 3
    assert all(str(fault).isprintable() for fault in faults)


@given(st.text(max_size=200))
def test_shown_text_cannot_move_a_cursor(text):
    assert shown(text).isprintable()


def test_the_schema_takes_the_base_job_and_describes_every_field():
    schema = job_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    job = yaml.load(BASE, yaml.BaseLoader)
    for person in job["people"].values():
        person |= {"first_aid": True, "rescue": True, "supervises": True}
    for part in (*job["protection"].values(), job["sites"]["gallery"]):
        part |= {key: True for key in ("tied", "wet") if key in part}
    job["loads"]["technician"]["people"] = 1
    job["lines"]["working"]["passes"] = 6
    for line in job["lines"].values():
        line["strands"] = 1
    jsonschema.validate(job, schema, jsonschema.Draft202012Validator)
    parts = [schema, *schema["$defs"].values()]
    parts_by_ref = {f"#/$defs/{n}": part["description"] for n, part in schema["$defs"].items()}
    fields = [field for part in parts for field in part.get("properties", {}).values()]
    assert len(fields) > 100
    # A field whose kind says the same already points to it and does not say it again.
    described = [field.get("description") or parts_by_ref[field["$ref"]] for field in fields]
    assert all(described)
    assert "'null'" not in str(schema)
    assert ID.pattern in str(schema)


def test_the_schema_refuses_what_the_reader_refuses():
    schema = job_schema()
    parts = schema["$defs"]
    validator = jsonschema.Draft202012Validator(parts["Edge"] | {"$defs": parts})
    edge = {"site": "a", "surface": "granite", "radius": "4 mm", "turn": "80 deg"}
    assert validator.is_valid(edge)
    for wrong in ({"radius": "4"}, {"radius": "4 kg"}, {"surface": "granit"}, {"trun": "1 deg"}):
        assert not validator.is_valid(edge | wrong)
