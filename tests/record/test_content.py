"""What a sign-off is bound to: what changes nothing in a content, and what does change it."""

from __future__ import annotations

import hashlib
import io
import json
import subprocess
import sys
import zlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from functools import cache
from pathlib import Path
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from support.demos import SEARCHED
from support.many_plans import CHANGES
from support.plan import BASE, COPING, DAY, PAD, both_ropes, job_of, merged, over_edges
from support.signing import as_text, digests, environment, jcs

import riskdoc
from riskdoc.export.export import document
from riskdoc.job.model import SETS, Form, Job, Part
from riskdoc.job.reading import JobFile, read, read_text
from riskdoc.judgement.assess import assess
from riskdoc.judgement.verdicts import Verdict
from riskdoc.quantities.quantity import Kind, Place, Quantity
from riskdoc.quantities.ranges import Range
from riskdoc.requirements.dossier import Dossier, brief_dossier, dossier
from riskdoc.requirements.sets import requirement_set
from riskdoc.signing import content as module
from riskdoc.signing.canonical import canonical
from riskdoc.signing.content import Content, content_of, resolved
from riskdoc.signing.sign_off_state import stand
from riskdoc.tables import loader

SITE = {"temperature": "4 to 12 degC", "near": ["tide", "ice"], "reach_sideways": "0 m"}
RICH: dict[str, Any] = {
    "sites": {"wall": SITE},
    "report": {"language": "en"},
    "people": {"lead": {"phone": "+00 0000"}},
    "work": {"method": "rope access", "steps": ["Rig.", "Work.", "Strip."], "shift": "5 h"},
}
"""What the plain plan has no example of."""


@pytest.fixture(scope="module", autouse=True)
def in_german() -> Iterator[subprocess.Popen[str]]:
    """The digests of the demos in German, worked out by another process in the meantime."""
    process = subprocess.Popen(
        [sys.executable, "-m", "support.signing", "digests", "de"],
        stdout=subprocess.PIPE, text=True, env=environment(),
    )  # fmt: skip
    try:
        yield process
    finally:
        process.kill()
        process.communicate()


@cache
def whole() -> Dossier:
    """The rich plain plan; read only."""
    return dossier(job_of(RICH))


@cache
def digest() -> str:
    return content_of(whole()).digest


def with_file(file: JobFile) -> Content:
    """The content where the same figures and verdicts had come from another job file.

    So whatever differs in it comes from the job alone.
    """
    it = whole()
    return content_of(replace(it, study=replace(it.study, plan=replace(it.study.plan, file=file))))


def with_job(job: Job) -> Content:
    return with_file(replace(whole().study.plan.file, job=job))


def read_anew(text: str, day: date = DAY) -> JobFile:
    reading = read_text(text, "plan.yaml", day)
    assert reading.file is not None, "\n".join(map(str, reading.faults))
    return reading.file


def computed(text: str, day: date = DAY) -> Content:
    """The content of a job as text, worked out from the start."""
    return content_of(brief_dossier(read_anew(text, day)))


TEXT = as_text(merged(BASE, RICH))


# ---------------------------------------------------------------- the form of a content


def no_number(word: str) -> None:
    raise AssertionError(f"{word} is no JSON")


def test_a_content_is_json_in_canonical_form_and_its_digest_the_sha256_of_those_bytes():
    content = content_of(whole())
    plain = json.loads(content.raw, parse_constant=no_number)

    assert jcs(plain) == content.raw
    assert hashlib.sha256(jcs(plain)).hexdigest() == content.digest
    assert jcs(content.plain) == content.raw


def test_a_content_that_was_written_out_prettily_and_read_again_has_the_same_digest():
    content = content_of(whole())
    pretty = json.dumps(json.loads(content.raw), indent=4, ensure_ascii=True)

    assert hashlib.sha256(canonical(json.loads(pretty))).hexdigest() == content.digest


def test_check_json_prints_the_digest_and_how_the_document_stands():
    standing = stand(whole())
    plain = document(whole(), standing)

    assert plain["digest"] == hashlib.sha256(jcs(standing.content.plain)).hexdigest()
    assert plain["state"] == "draft"


def test_the_same_plan_read_twice_has_the_same_digest():
    assert computed(TEXT).digest == digest()


def test_a_plan_with_no_bound_on_a_figure_has_a_content_without_nan_or_infinity():
    # Nothing below the worker, and no measured peak: figures that cannot be computed.
    bare = {"lines": {"safety": {"fall": None}}, **both_ropes(stretch=None, strength=None)}
    content = content_of(brief_dossier(job_of(bare)))

    assert jcs(json.loads(content.raw, parse_constant=no_number)) == content.raw


# ---------------------------------------------------------------- what changes nothing


def turned(value: Any) -> Any:
    """The same with the keys of every mapping the other way round."""
    if isinstance(value, dict):
        return {key: turned(each) for key, each in reversed(value.items())}
    return [turned(each) for each in value] if isinstance(value, list) else value


def commented(text: str) -> str:
    lines = [line + "   # a remark" for line in text.splitlines()]
    return "# Another remark\n\n" + "\n\n# more\n".join(lines) + "\n\n\n"


SAME = {
    "keys the other way round": as_text(turned(merged(BASE, RICH))),
    "comments and blank lines": commented(TEXT),
    "flow style": yaml.safe_dump(merged(BASE, RICH), default_flow_style=True, width=60),
    "block style, plain": yaml.safe_dump(merged(BASE, RICH), default_flow_style=False),
    "single quotes": yaml.safe_dump(merged(BASE, RICH), default_style="'"),
    "lines that end as on another system": TEXT.replace("\n", "\r\n"),
    "a mark of the byte order": "\ufeff" + TEXT,
    "blanks around texts": TEXT.replace('"Test tower"', '"  Test tower "'),
    "defaults written out": as_text(
        merged(
            merged(BASE, RICH),
            {
                "job": {"requirements": "general", "matrix": "npsa-2008", "permits": []},
                "report": {"units": "metric", "paper": "A4"},
                "edges": {}, "protection": {}, "hazards": {}, "pictures": {},
                "devices": {name: {"each_strand": "false"} for name in ("descender", "backup")},
                "lines": {line: {"runs": "1"} for line in ("working", "safety")},
                "signoff": {"deviations": []},
                "rescue": {"steps": []},
            },
        )
    ),
    "other spellings of amounts": as_text(
        merged(
            merged(BASE, RICH),
            {
                **both_ropes(diameter="1.10 cm", strength="30000.0 N", mass="0.075 kg/m",
                             length="10000 cm", stretch="3.50%"),
                "sites": {"wall": {"drop": "30000 mm", "temperature": "39.2 to 53.6 degF",
                                   "reach_sideways": "0.0 ft"}},
                "loads": {"worker": {"mass": "80000 g", "kit": "18 / 18 / 18 kg"}},
                "lines": {"working": {"below": "0.020 m".replace("0.020", "20.00")},
                          "safety": {"fall": {"free": "60 cm", "clear": "8000 mm"}}},
                "rescue": {"time_to_ground": "480 s"},
                "work": {"shift": "300 min"},
            },
        )
    ),
    "US units, German, Letter": as_text(
        merged(merged(BASE, RICH), {"report": {"language": "de", "units": "us", "paper": "Letter"}})
    ),
}  # fmt: skip


@pytest.mark.parametrize("how", SAME)
def test_a_plan_that_says_the_same_in_another_way_has_the_same_digest(how):
    assert SAME[how] != TEXT
    assert computed(SAME[how]).digest == digest()


@pytest.mark.parametrize("days", [-40, 1, 2, 400], ids=lambda days: f"{days:+} days")
def test_the_day_of_the_assessment_changes_nothing_before_during_and_after_the_job(days):
    assert computed(TEXT, DAY + timedelta(days)).digest == digest()


@pytest.mark.parametrize(
    "choice",
    [{"language": "de"}, {"units": "us"}, {"paper": "Letter"}],
    ids=str,
)
def test_what_the_report_looks_like_changes_nothing_in_the_content_of_a_job(choice):
    file = whole().study.plan.file.in_form(**choice)

    assert file.job.report != whole().study.plan.file.job.report
    assert with_file(file).raw == content_of(whole()).raw


def test_everything_a_report_may_be_asked_for_was_tried():
    assert set(Form.model_fields) == {"language", "units", "paper"}


LANGUAGES = [
    changes for changes in CHANGES if not {"pictures", "alternatives"} & set().union(*changes)
]


@pytest.mark.parametrize("number", range(0, len(LANGUAGES), 6))
def test_what_is_missing_or_found_in_a_plan_has_the_same_names_in_every_language(number):
    # Not the whole dossier, for it takes long: the figures, checks and findings of the plan.
    file = job_of(*LANGUAGES[number])
    parts = []
    for language in ("en", "de"):
        plan = assess(file.in_form(language=language, units="us" if language == "de" else "metric"))
        parts.append(
            jcs(
                {
                    "figures": {each.id: module._figure(each) for each in plan.figures},
                    "checks": {each.id: module._check(each) for each in plan.checks},
                    "findings": sorted(each.id for each in plan.findings),
                }
            )
        )

    assert parts[0] == parts[1]


# One amount in two spellings: the units, and by how much the second is smaller. Exact by the
# SI prefixes (SI brochure, table 7) and by definition (SI brochure, table 8).
SPELLINGS = {
    ("ropes", "main", "diameter"): [("cm", "mm", 1), ("m", "mm", 3)],
    ("ropes", "main", "strength"): [("kN", "N", 3)],
    ("ropes", "main", "mass"): [("kg/m", "g/m", 3)],
    ("sites", "wall", "drop"): [("m", "cm", 2), ("m", "mm", 3)],
    ("loads", "worker", "mass"): [("kg", "g", 3)],
}
WITHIN = {"diameter": ("0.5", "3.9"), "strength": ("2", "290"), "drop": ("31", "99"),
          "mass": ("0.1", "0.9")}  # fmt: skip


def shifted(number: str, places: int) -> str:
    """A decimal with its point further right, digit for digit.

    >>> shifted("1.25", 1), shifted("1.2", 3)
    ('12.5', '1200')
    """
    whole_part, _, part = number.partition(".")
    part = part.ljust(places, "0")
    moved = (whole_part + part[:places]).lstrip("0") or "0"
    return moved + (f".{part[places:]}" if part[places:] else "")


@given(
    st.sampled_from([(path, *each) for path, pairs in SPELLINGS.items() for each in pairs]),
    st.integers(0, 10**6),
    st.integers(0, 6),
)
@settings(max_examples=30, deadline=None)
def test_an_amount_is_the_same_however_its_digits_and_unit_are_spelled(which, number, decimals):
    path, large, small, places = which
    low, high = (Fraction(end) for end in WITHIN[path[-1]])
    if path[0] == "loads":
        low, high = Fraction(50), Fraction(200)
    if large == "m" and path[-1] == "diameter":
        low, high = low / 100, high / 100
    value = low + (high - low) * Fraction(number, 10**6)
    scaled = int(value * 10 ** (decimals + 4))
    text = f"{scaled // 10 ** (decimals + 4)}.{scaled % 10 ** (decimals + 4):0{decimals + 4}d}"

    def content(amount: str) -> bytes:
        change: Any = amount  # of any size, so the rope is of no standard
        for key in reversed(path):
            change = {key: change}
        any_size = {"ropes": {"main": {"standard": "none stated"}}}
        heavy = {"loads": {"worker": {"heavy": "any mass"}}}
        return with_file(job_of(RICH, any_size, heavy, change)).raw

    spelled = content(f"{text} {large}")
    assert content(f"{shifted(text, places)} {small}") == spelled
    assert content(f"{text}0 {large}") == spelled
    assert content(f"{text} / {text} / {text} {large}") == spelled


# Exact: one foot is 0.3048 m and one inch 25.4 mm, one pound 0.45359237 kg (1959), one mile in
# an hour 0.44704 m/s, one knot 1852 m in an hour, one kilogram-force 9.80665 N, and a degree
# Fahrenheit is 5/9 K with 32 degF at 0 degC (NIST SP 811, appendix B.8).
EQUAL = [
    (("sites", "wall", "drop"), "100 ft", "30.48 m"),
    (("sites", "wall", "drop"), "1500 in", "38.1 m"),
    (("sites", "wall", "drop"), "29 to 31 m", "29 / 30 / 31 m"),
    (("loads", "worker", "mass"), "200 lb", "90718.474 g"),
    (("ropes", "main", "strength"), "3000 kgf", "29.41995 kN"),
    (("sites", "wall", "temperature"), "-40 degF", "-40 degC"),
    (("sites", "wall", "temperature"), "50 degF", "10 degC"),
    (("sites", "wall", "temperature"), "14 to 113 degF", "-10 to 45 degC"),
    (("sites", "wall", "wind", "stop_at"), "20 mph", "8.9408 m/s"),
    (("sites", "wall", "wind", "stop_at"), "36 km/h", "10 m/s"),
    (("sites", "wall", "wind", "stop_at"), "10 knot", "18.52 km/h"),
    (("rescue", "time_to_ground"), "0.1 h", "6 min"),
    (("rescue", "time_to_ground"), "0.1 h", "360 s"),
]
WIND = {"sites": {"wall": {"wind": {"stop_at": "9 m/s", "measured_as": "mean", "height": "30 m",
                                    "source": "site rule"}}},
        "lines": {"working": {"hours": "2 h"}, "safety": {"hours": "2 h"}}}  # fmt: skip


def at(path: tuple[str, ...], value: Any) -> Any:
    for key in reversed(path):
        value = {key: value}
    return value


@pytest.mark.parametrize(("path", "one", "other"), EQUAL, ids=lambda each: str(each)[:30])
def test_amounts_that_are_exactly_equal_in_other_units_are_the_same(path, one, other):
    contents = {with_file(job_of(WIND, at(path, amount))).raw for amount in (one, other)}

    assert len(contents) == 1


NEAR = [
    (("sites", "wall", "temperature"), "50 degF", "10.0001 degC"),
    (("sites", "wall", "drop"), "100 ft", "30.480001 m"),
    (("sites", "wall", "drop"), "29 to 31 m", "29 / 30.000001 / 31 m"),
    (("loads", "worker", "mass"), "200 lb", "90718.475 g"),
]


@pytest.mark.parametrize(("path", "one", "other"), NEAR, ids=lambda each: str(each)[:30])
def test_amounts_that_are_only_nearly_equal_are_not_the_same(path, one, other):
    contents = {with_file(job_of(WIND, at(path, amount))).raw for amount in (one, other)}

    assert len(contents) == 2


# ---------------------------------------------------------------- what does change it: the job

FULL_OVER = over_edges(COPING, PAD, passes="2")


def leaves(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], str]]:
    """Every text of a job, by the keys it stands under."""
    if isinstance(value, dict | list):
        for key, each in value.items() if isinstance(value, dict) else enumerate(value):
            yield from leaves(each, (*path, key))
    else:
        yield path, value


def put(base: Any, path: tuple[Any, ...], value: Any) -> Any:
    """A copy of a job with another value under some keys."""
    if not path:
        return value
    copied = dict(base) if isinstance(base, dict) else list(base)
    copied[path[0]] = put(base[path[0]], path[1:], value)
    return copied


PLAN = merged(merged(merged(BASE, RICH), FULL_OVER), WIND)
AMOUNTS = [
    (path, text)
    for path, text in leaves(PLAN)
    if text[:1].isdigit() and path[:1] != ("riskdoc",) and "-" not in text
]


def test_every_digit_of_every_amount_of_a_plan_that_is_changed_changes_the_digest():
    before = with_file(read_anew(as_text(PLAN))).digest
    tried = sound = 0
    for path, text in AMOUNTS:
        for spot, char in enumerate(text):
            if not char.isdigit():
                continue
            tried += 1
            other = text[:spot] + str((int(char) + 1) % 10) + text[spot + 1 :]
            file = read_text(as_text(put(PLAN, path, other)), "plan.yaml", DAY).file
            if file is None:  # out of bounds or not rising: no job, and nothing to sign
                continue
            sound += 1
            assert with_file(file).digest != before, (path, text, other)

    assert tried > 60
    assert sound > 0.85 * tried


def test_every_text_of_a_plan_that_is_changed_changes_the_digest():
    before = with_file(read_anew(as_text(PLAN))).digest
    sound = set()
    for path, text in leaves(PLAN):
        if path[0] == "report":
            continue
        if text in ("true", "false"):
            other = "false" if text == "true" else "true"
        else:
            other = text[:-1] + "3" if text[-1:].isdigit() and "-" in text else text + "x"
        if path not in [each for each, _ in AMOUNTS]:
            file = read_text(as_text(put(PLAN, path, other)), "plan.yaml", DAY).file
            if file is not None:
                sound.add(path)
                assert with_file(file).digest != before, (path, text, other)

    for path in [("job", "title"), ("job", "number"), ("job", "revision"), ("job", "client"),
                 ("people", "lead", "name"), ("people", "lead", "first_aid"),
                 ("job", "valid", "to"), ("work", "steps", 1), ("ropes", "main", "made"),
                 ("signoff", "roles", 0), ("rescue", "method")]:  # fmt: skip
        assert path in sound, path


@given(st.sampled_from(["title", "client", "number", "revision"]), st.data())
@settings(max_examples=60, deadline=None)
def test_two_texts_that_differ_in_one_character_have_two_digests(key, data):
    letters = st.characters(exclude_categories=("Cc", "Cs", "Cn", "Zs", "Zl", "Zp", "Cf"))
    text = data.draw(st.text(letters, min_size=2, max_size=20))
    spot = data.draw(st.integers(0, len(text) - 1))
    char = data.draw(letters.filter(lambda each: each != text[spot]))
    other = text[:spot] + char + text[spot + 1 :]
    info = whole().study.plan.file.job

    def content(value: str) -> str:
        return with_job(
            info.model_copy(update={"job": info.job.model_copy(update={key: value})})
        ).digest

    assert content(text) != content(other)


# Every field of the model, whether an example has it or not.


def filled(kind: Any) -> Any:
    """Something of a kind that a field holds, with every field filled in turn."""
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return filled(inner[0])
    if origin is Literal:
        return inner[0]
    if origin in (Union, UnionType):
        return filled(next(each for each in inner if each is not NoneType))
    if origin is tuple:
        return (filled(inner[0]),) * 2 if inner[-1] is ... else tuple(map(filled, inner))
    if origin is dict:
        return {"one": filled(inner[1]), "two": filled(inner[1])}
    if isinstance(kind, type) and issubclass(kind, Part):
        fields = {name: filled(each.annotation) for name, each in kind.model_fields.items()}
        return kind.model_construct(**fields)
    plain = {
        Quantity: Quantity(1.0, 2.0, 3.0, Kind.LENGTH, "1 / 2 / 3 m", Place("plan.yaml", 1, 1)),
        str: "text", bool: True, int: 2, float: 0.5, date: date(2027, 6, 1), Any: "any",
    }  # fmt: skip
    return plain[kind]


@cache
def full() -> Job:
    job = filled(Job)
    assert isinstance(job, Job)
    return job


def changed(value: Any) -> Iterator[tuple[str, Any]]:  # noqa: C901  (a branch for each kind)
    """Every way to change one thing in a part of a job, with where it is."""
    if isinstance(value, Quantity):
        for end in ("low", "expected", "high"):
            yield end, replace(value, **{end: getattr(value, end) + 1e-9})
    elif isinstance(value, Part):
        for name in type(value).model_fields:
            now = getattr(value, name)
            for where, other in changed(now):
                yield f"{name}.{where}", value.model_copy(update={name: other})
            if now is not None and not isinstance(now, bool):
                yield f"{name} left out", value.model_copy(update={name: None})
    elif isinstance(value, dict):
        first = next(iter(value))
        for where, other in changed(value[first]):
            yield f"{first}.{where}", {**value, first: other}
        yield "one less", {key: each for key, each in value.items() if key != first}
        yield "another id", {f"{key}_": each for key, each in value.items()}
    elif isinstance(value, tuple):
        for where, other in changed(value[0]):
            yield f"0.{where}", (other, *value[1:])
        yield "one less", value[1:]
        yield "one more", (*value, value[0])
    elif isinstance(value, bool):
        yield "flag", not value
    elif isinstance(value, date):
        yield "day", value + timedelta(1)
    elif isinstance(value, int | float):
        yield "number", value + 1
    elif isinstance(value, str):
        yield "text", value + "x"


def test_every_field_of_the_model_that_is_changed_changes_the_digest_but_for_the_form():
    base, seen = canonical(resolved(full())), 0
    for where, job in changed(full()):
        same = where.startswith(("report", "alternatives"))
        # The alternatives are read by themselves; a test below changes one.
        assert (canonical(resolved(job)) == base) is same, where
        seen += not same

    assert seen > 400


def test_the_resolved_job_is_what_stands_in_the_content():
    job = whole().study.plan.file.job

    assert content_of(whole()).plain["job"] == resolved(job)
    assert with_job(full()).plain["job"] == resolved(full())


def test_places_and_spellings_are_not_in_a_content():
    text = content_of(whole()).raw.decode()

    assert "plan.yaml" not in text
    assert '"30 kN"' not in text


def test_the_digits_of_an_amount_are_kept_whole_where_those_of_a_figure_are_not():
    close = [job_of(both_ropes(diameter=amount)) for amount in ("11 mm", "11.00000001 mm")]

    assert len({with_file(file).digest for file in close}) == 2


# ---------------------------------------------------------------- what does change it: the rest


def tables_with(monkeypatch: pytest.MonkeyPatch, name: str, rows: dict[str, Any]) -> None:
    """The tables with some columns of rows of one otherwise; a row that is not there is new."""
    known = loader.table(name)
    changed = dict(known.rows)
    for row, columns in rows.items():
        old = known.rows.get(row, next(iter(known.rows.values())))
        changed[row] = {**old, **{key: replace(old[key], **by) for key, by in columns.items()}}
    properties = {row: known.properties.get(row, {}) for row in changed}
    other = replace(known, rows=changed, properties=properties)
    monkeypatch.setattr(loader, "table", lambda each: other if each == name else TABLE(each))


TABLE = loader.table
ON_GRANITE = over_edges({**COPING, "surface": "granite"})


@pytest.mark.parametrize(
    ("name", "row", "column"),
    [
        ("surfaces", "granite", "friction"),
        ("general", "margin derated", "value"),
        ("general", "lines for a person", "value"),
        ("standards", "EN 1891 type A", "knotted"),
    ],
)
@pytest.mark.parametrize("by", [{"high": 0.999}, {"provenance": "hearsay"}], ids=str)
def test_a_row_that_a_job_uses_changes_the_digest(name, row, column, by, monkeypatch):
    text = as_text(merged(BASE, ON_GRANITE))
    before = computed(text)
    assert f"{name}/{row}/{column}" in before.plain["rows"]

    tables_with(monkeypatch, name, {row: {column: by}})

    assert computed(text).digest != before.digest


def test_a_row_that_a_job_does_not_use_changes_nothing(monkeypatch):
    text = as_text(merged(BASE, ON_GRANITE))
    before = computed(text)
    unused = {"slate": {"friction": {"high": 0.9}}, "sandstone": {"friction": {"high": 0.9}}}

    tables_with(monkeypatch, "surfaces", unused)

    assert "slate" not in TABLE("surfaces").rows  # it is a new one
    assert "sandstone" in TABLE("surfaces").rows
    assert computed(text).raw == before.raw


def test_every_row_that_a_figure_or_a_check_rests_on_is_in_the_content():
    plan = assess(job_of(ON_GRANITE))
    rows = content_of(brief_dossier(plan.file)).plain["rows"]

    of_tables = [each.id for each in plan.defaults if each.id.split("/")[0] in loader.NAMES]
    assert len(of_tables) > 20
    for id in of_tables:
        cell = loader.cell(*id.split("/"))
        assert rows[id] == [cell.low, cell.expected, cell.high, cell.unit, cell.provenance]


def test_the_rows_of_a_job_are_the_same_whatever_was_worked_out_of_it_before():
    file = job_of(ON_GRANITE)
    brief = content_of(brief_dossier(file))
    file.worked.pop("content")
    again = content_of(dossier(file))  # with the search for changes, on numbers that were kept

    assert again.raw == brief.raw


def test_a_hazard_of_the_catalogue_counts_where_it_is_listed(monkeypatch):
    it = whole()
    known = dict(module.catalogue())
    used = it.register.hazards[0].id
    assert used in known
    listed = {each.id for each in (*it.register.hazards, *it.register.dropped)}
    other = next(id for id in known if id not in listed)

    for id, moves in ((other, False), (used, True)):
        changed = {**known, id: replace(known[id], causes=("another cause",))}
        monkeypatch.setattr(module, "catalogue", lambda found=changed: found)
        assert (with_job(it.study.plan.file.job).digest != digest()) is moves


def test_a_cell_of_the_matrix_changes_the_digest():
    it = whole()
    grid = it.register.matrix
    assert grid is not None
    place = next(iter(grid.cells))
    cells = {**grid.cells, place: (grid.bands[0], 99)}
    file = replace(it.study.plan.file)
    plan = replace(it.study.plan, file=file)
    register = replace(it.register, matrix=replace(grid, cells=cells))

    changed = replace(it, study=replace(it.study, plan=plan), register=register)
    assert content_of(changed).digest != digest()


@pytest.mark.parametrize("name", SETS)
def test_a_byte_of_the_requirement_set_changes_the_digest(name):
    it = whole()
    path = Path(riskdoc.__file__).parent / "requirements" / f"{name}.yaml"
    assert requirement_set(name).raw == path.read_bytes()
    used = replace(it.judged.set, raw=it.judged.set.raw + b"\n")
    plan = replace(it.study.plan, file=replace(it.study.plan.file))
    changed = replace(it, study=replace(it.study, plan=plan), judged=replace(it.judged, set=used))

    assert content_of(changed).digest != digest()


def test_the_version_of_riskdoc_changes_the_digest(monkeypatch):
    monkeypatch.setattr(module, "__version__", "0.1.1")

    assert with_job(whole().study.plan.file.job).digest != digest()


def test_the_form_of_the_content_changes_the_digest(monkeypatch):
    monkeypatch.setattr(module, "FORM", module.FORM + 1)

    assert with_job(whole().study.plan.file.job).digest != digest()


def outcome(**change: Any) -> str:
    """The digest where the plan had come out otherwise."""
    it = whole()
    file = replace(it.study.plan.file)
    return content_of(
        replace(it, study=replace(it.study, plan=replace(it.study.plan, file=file, **change)))
    ).digest


def test_what_came_out_is_in_the_digest_and_nothing_else_moves_it():
    plan = whole().study.plan
    figure = next(each for each in plan.figures if each.range is not None)
    check = next(each for each in plan.checks if each.ratio is not None)
    more = Range(*(1.001 * each for each in (figure.range.low, figure.range.expected,
                                             figure.range.high)))  # fmt: skip

    def figures(**other: Any) -> Any:
        return tuple(replace(each, **other) if each is figure else each for each in plan.figures)

    def checks(**other: Any) -> Any:
        return tuple(replace(each, **other) if each is check else each for each in plan.checks)

    assert outcome() == digest()
    assert outcome(figures=plan.figures[::-1], checks=plan.checks[::-1]) == digest()
    assert digest() not in {
        outcome(figures=plan.figures[1:]),
        outcome(figures=figures(range=more)),
        outcome(figures=figures(range=None)),
        outcome(figures=figures(unit="kg")),
        outcome(checks=plan.checks[1:]),
        outcome(checks=checks(verdict=Verdict.BORDERLINE)),
        outcome(checks=checks(ratio=None)),
        outcome(checks=checks(demand=more)),
        outcome(checks=checks(capacity=None)),
        outcome(checks=checks(required=1e9)),
        outcome(checks=checks(missing=("something",))),
    }


def test_hazards_and_answers_are_in_the_digest_and_what_could_be_done_is_not():
    it = whole()
    fresh = replace(it, study=replace(it.study, plan=replace(
        it.study.plan, file=replace(it.study.plan.file))))  # fmt: skip

    def otherwise(**change: Any) -> str:
        file = replace(it.study.plan.file)
        study = replace(change.pop("study", it.study), plan=replace(it.study.plan, file=file))
        return content_of(replace(it, study=study, **change)).digest

    register, judged = it.register, it.judged
    first, *others = register.hazards
    assert content_of(fresh).digest == otherwise() == digest()
    assert otherwise(study=replace(it.study, limits=it.study.limits[1:])) == digest()
    assert otherwise(study=replace(it.study, results=())) == digest()
    assert digest() not in {
        otherwise(register=replace(register, hazards=tuple(others))),
        otherwise(register=replace(
            register, hazards=(replace(first, fatal=not first.fatal), *others))),
        otherwise(judged=replace(judged, answers=judged.answers[1:])),
    }  # fmt: skip


def test_an_alternative_is_in_the_digest_with_its_title_and_what_it_changes():
    def content(title: str, amount: str) -> str:
        other = {"title": title, "change": {"ropes.main.diameter": amount}}
        return with_file(job_of({"alternatives": {"other": other}})).digest

    contents = {
        content("Thicker", "12 mm"), content("Thicker", "12.1 mm"), content("Thick", "12 mm"),
        with_file(job_of()).digest,
    }  # fmt: skip
    assert len(contents) == 4
    assert content("Thicker", "1.2 cm") == content("Thicker", "12 mm")


def test_every_byte_of_a_picture_is_in_the_digest_and_so_is_what_is_said_of_it(tmp_path):
    buffer = io.BytesIO()
    Image.new("RGB", (3, 2), (10, 20, 30)).save(buffer, "PNG")
    png = buffer.getvalue()

    def content(raw: bytes, shows: str = "A wall") -> str:
        (tmp_path / "wall.png").write_bytes(raw)
        picture = {"pictures": {"wall": {"file": "wall.png", "shows": shows}}}
        path = tmp_path / "plan.yaml"
        path.write_text(as_text(merged(BASE, picture)), "utf-8")
        file = read(path, DAY).file
        assert file is not None
        found = with_file(file)
        about = found.plain["pictures"]["wall"]
        assert about["sha256"] == hashlib.sha256(raw).hexdigest()
        ready = file.pictures["wall"].prepared.content
        assert about["printed"] == hashlib.sha256(ready).hexdigest()
        return found.digest

    # A comment (PNG, 11.3.4.3) in front of the end changes bytes and nothing that is seen.
    def with_comment(text: bytes) -> bytes:
        body = b"tEXt" + b"Comment\0" + text
        chunk = len(body[4:]).to_bytes(4, "big") + body + zlib.crc32(body).to_bytes(4, "big")
        return png[:-12] + chunk + png[-12:]

    found = [content(png), content(with_comment(b"a")), content(with_comment(b"b")),
             content(png, "A waII")]  # fmt: skip
    assert len(set(found)) == 4
    assert content(png) == found[0]


OWN_SET = """\
id: crew
title: Rules of the crew
edition: "1"
about: What the crew asks
scope: Everything
items:
  asked:
    clause: "1"
    asks: Was the wall looked at?
    test: asked
    provenance: judgement
"""


def test_every_byte_of_a_requirement_set_of_ones_own_is_in_the_digest(tmp_path):
    path = tmp_path / "plan.yaml"
    path.write_text(as_text(merged(BASE, {"job": {"requirements": "crew.yaml"}})), "utf-8")

    def content(text: str) -> str:
        (tmp_path / "crew.yaml").write_text(text, "utf-8")
        file = read(path, DAY).file
        assert file is not None
        found = content_of(brief_dossier(file))
        assert found.plain["set"]["crew.yaml"] == hashlib.sha256(text.encode()).hexdigest()
        return found.digest

    assert len({content(OWN_SET), content(OWN_SET + "# seen\n"),
                content(OWN_SET.replace("looked at", "seen"))}) == 3  # fmt: skip


def test_the_revision_that_is_replaced_is_in_the_digest_by_the_bytes_of_its_job_file(tmp_path):
    path = tmp_path / "plan_b.yaml"
    old = tmp_path / "plan_a.yaml"
    replaces = {"file": "plan_a.yaml", "reason": "The wind"}
    now = {"job": {"revision": "B", "replaces": replaces}}
    path.write_text(as_text(merged(BASE, now)), "utf-8")

    def content(text: str) -> str:
        old.write_text(text, "utf-8")
        file = read(path, DAY).file
        assert file is not None
        found = with_file(file)
        assert found.plain["replaces"] == {
            "number": "T-1", "revision": "A", "sha256": hashlib.sha256(text.encode()).hexdigest(),
            "replaces": None,
        }  # fmt: skip
        return found.digest

    before = as_text(BASE)
    later = before.replace("Plain plan", "Plain plot")
    assert len({content(before), content(later), with_file(job_of()).digest}) == 3
    assert content(before) == content(before)
    assert with_file(job_of()).plain["replaces"] is None


# ---------------------------------------------------------------- the demos


def test_every_demo_has_the_same_digest_in_english_and_in_german(in_german):
    english = dict(digests("en"))
    told, _ = in_german.communicate(timeout=600)

    assert len(english) == len(SEARCHED) + 1
    assert len(set(english.values())) == len(english)
    assert json.loads(told) == english
