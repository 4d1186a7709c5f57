"""The commands as somebody types them: what they print, where it goes, and how they exit."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from support.demos import DAYS, JOBS, SEARCHED
from support.plan import BASE, COMPLETE, merged, over_edges
from support.typed import Typed, fresh, typed


def riskdoc(*words: str, folder: Path | None = None) -> Typed:
    return typed(*words, cwd=folder, short=True)


@cache
def checked(name: str) -> Typed:
    """What `check --json` says of a demo; several tests read it."""
    return riskdoc("check", str(JOBS / f"{name}.yaml"), "--on", DAYS[name].isoformat(), "--json")


@cache
def schema_of(*words: str) -> Any:
    """What `schema` prints."""
    return json.loads(riskdoc("schema", *words).out)


@pytest.fixture
def job(tmp_path):
    def write(*changes, name="plan.yaml"):
        whole = BASE
        for change in changes:
            whole = merged(whole, change)
        path = tmp_path / name
        path.write_text(yaml.safe_dump(whole, default_style='"', sort_keys=False), "utf-8")
        return path

    return write


ON = ("--on", "2027-06-01")


@pytest.mark.parametrize(
    "words",
    [["check", "plan.yaml", *ON, "--all"], ["check", "none.yaml"], ["chek"], ["--help"], [],
     ["verify", "plan.yaml", *ON]],
    ids=" ".join,
)  # fmt: skip
def test_a_command_says_the_same_in_a_forked_process_and_in_a_fresh_one(words, job, tmp_path):
    """All other tests of this file rest on that; the streams are compared byte for byte."""
    job(COMPLETE)
    forked, alone = typed(*words, cwd=tmp_path), fresh(*words, cwd=tmp_path)

    assert (forked.code, forked.raw) == (alone.returncode, alone.stdout)
    assert forked.raw_err == alone.stderr


def test_an_adequate_job_exits_0(job):
    found = riskdoc("check", str(job(COMPLETE)), *ON)

    assert found.code == 0, found.err
    assert "status: adequate" in found.out
    assert "Not judged by this version" in found.out
    assert "makers' instructions" in " ".join(found.out.split())


ROUNDED = {"site": "wall", "surface": "granite", "radius": "15 mm", "turn": "80 deg"}


def test_a_borderline_job_exits_1_and_says_why(job):
    found = riskdoc("check", str(job(over_edges(ROUNDED))), *ON)

    assert found.code == 1
    assert "borderline" in found.out
    assert "A person hangs on the single strand" in found.out


def test_an_accepted_borderline_check_lets_the_job_stand(job):
    plan = merged(COMPLETE, over_edges(ROUNDED))
    ids = [f"line/{line}/edge/edge_{line}/rule/bare" for line in ("working", "safety")]
    data = json.loads(riskdoc("check", str(job(plan)), *ON, "--json").out)
    stops = [c["id"] for c in data["checks"] if c["verdict"] != "adequate"]
    assert set(ids) <= set(stops)
    accepted = {"by": "lead", "reason": "short and looked at", "until": "2027-06-02"}
    deviations = [{"check": id, **accepted} for id in stops]

    found = riskdoc("check", str(job(plan, {"signoff": {"deviations": deviations}})), *ON, "--json")
    data = json.loads(found.out)

    assert found.code == 0
    assert data["status"] == "adequate"
    assert data["outcome"]["accepted"] == len(stops)
    assert {c["accepted"]["by"] for c in data["checks"] if c["accepted"]} == {"A. Lead"}


def test_an_inadequate_check_cannot_be_accepted(job):
    one = {"lines": {"safety": {"anchor": "one"}}}
    accepted = {"signoff": {"deviations": [
        {"check": "load/worker/lines", "by": "lead", "reason": "no other bolt",
         "until": "2027-06-02"}]}}  # fmt: skip
    found = riskdoc("check", str(job(one, accepted)), *ON)

    assert found.code == 1
    assert "has no effect" in found.out


def test_a_fault_exits_2_and_names_the_place(job):
    path = job({"loads": {"worker": {"mass": "80 kN"}}})
    found = riskdoc("check", str(path), *ON)

    assert found.code == 2
    assert found.out == ""
    assert f"{path}:" in found.err
    assert "1 fault" in found.err


def test_a_fault_writes_nothing(job, tmp_path):
    path = job({"loads": {"worker": {"mass": "80 kN"}}})
    found = riskdoc("render", str(path), *ON, "--out", str(tmp_path / "out"))

    assert found.code == 2
    assert not (tmp_path / "out").exists()


def test_a_job_that_has_run_out_is_expired_and_exits_1(job):
    """It is told as a warning, since an old document can still be read and checked."""
    path = job(COMPLETE)
    late = riskdoc("check", str(path), "--on", "2027-06-03")
    last = riskdoc("check", str(path), "--on", "2027-06-02")

    assert (late.code, last.code) == (1, 0)
    assert "W06 job.valid.to" in late.err
    assert "2027-06-02" in late.err
    assert "state: expired" in late.out
    assert "W06" not in last.err


def test_a_job_that_has_run_out_is_rendered_as_expired(job, tmp_path):
    out = tmp_path / "out"
    found = riskdoc("render", str(job()), "--on", "2027-06-03", "--out", str(out), "--as", "html")

    assert found.code == 1
    assert "Expired on 2027-06-02: this document is not for use." in found.out
    assert "EXPIRED on 2027-06-02: not for use" in (out / "plan.html").read_text("utf-8")


def test_json_has_the_digests_of_content_and_file_its_form_and_how_it_stands(job):
    path = job({"report": {"paper": "Letter", "units": "us"}})
    schema = schema_of("check")
    data = json.loads(riskdoc("check", str(path), *ON, "--json").out)
    plain = json.loads(riskdoc("check", str(job(name="other.yaml")), *ON, "--json").out)
    jsonschema.validate(data, schema, cls=jsonschema.Draft202012Validator)

    assert data["job"]["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    assert data["form"] == {"language": "en", "units": "us", "paper": "Letter"}
    # What the report looks like is no part of the content; the file is another all the same.
    assert data["digest"] == plain["digest"] != data["job"]["sha256"] != plain["job"]["sha256"]
    unsigned = {"name": None, "time": None, "meaning": None, "hash": None}
    assert (data["state"], data["outcome"]["accepted"]) == ("draft", 0)
    assert data["document"] == {
        "from": "2027-06-01", "to": "2027-06-02",
        "signed": [{"role": role, **unsigned} for role in ("prepared", "authorised")],
        "one_person": False, "entries": 0, "last": "none", "before": [],
    }  # fmt: skip


@pytest.mark.parametrize("day", ["9 March", "20270309", "2027-W10-2"])
def test_a_day_that_is_none_is_refused(job, day):
    found = riskdoc("check", str(job()), "--on", day)

    assert found.code == 2
    assert "2027-03-09" in found.err


def test_too_many_ranges_in_one_figure_are_refused(job):
    """Twenty-odd ranged inputs in one figure: refused by name, not computed in part."""
    plan = over_edges(passes="4")
    del plan["edges"]["edge_working"]  # the working line runs over twelve others
    overs = []
    for i in range(12):
        plan["edges"][f"e{i}"] = {"site": "wall", "surface": "granite", "radius": "30 to 40 mm",
                                  "turn": "10 to 12 deg", "friction": "0.3 to 0.4"}  # fmt: skip
        overs.append({"edge": f"e{i}", "after": "1 m"})
    plan["lines"]["working"] |= {"over": overs, "cases": ["raise", "lower"]}
    found = riskdoc("check", str(job(plan)), *ON)

    assert found.code == 2
    assert "ranged inputs meet in one figure" in found.err


@pytest.mark.parametrize("name", SEARCHED)
def test_json_of_the_demos_fits_the_shipped_schema(name):
    schema = schema_of("check")
    found = checked(name)
    data = json.loads(found.out)

    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(data, schema)
    assert found.code == 1
    assert len(data["figures"]) > 40
    for wrong in ({"status": "fine"}, {"more": 1}, {"checks": [{**data["checks"][0], "more": 1}]}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate({**data, **wrong}, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({key: data[key] for key in data if key != "digest"}, schema)


@pytest.mark.parametrize("name", DAYS)
def test_demos_fit_the_schema_of_the_job_file(name):
    schema = schema_of()
    jsonschema.Draft202012Validator.check_schema(schema)
    text = (JOBS / f"{name}.yaml").read_text("utf-8")
    data = yaml.load(text, Loader=yaml.BaseLoader)

    jsonschema.validate(_like_an_editor(data), schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**_like_an_editor(data), "jobb": {}}, schema)


def _like_an_editor(value):
    """YAML 1.2 as an editor reads it: true and false are booleans, digits are integers."""
    if isinstance(value, dict):
        return {key: _like_an_editor(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_like_an_editor(each) for each in value]
    if value in ("true", "false"):
        return value == "true"
    if re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", value):
        return float(value) if "." in value else int(value)
    return value


def test_demos_show_every_kind_of_verdict_between_them():
    verdicts = set()
    for name in SEARCHED:
        verdicts |= {c["verdict"] for c in json.loads(checked(name).out)["checks"]}

    assert {"adequate", "borderline", "inadequate"} <= verdicts


def test_explain_prints_the_page_of_a_code(job):
    path = job({"loads": {"worker": {"mass": "80 kN"}}})
    code = riskdoc("check", str(path), *ON).err.split(": ")[1].split()[0]
    found = riskdoc("explain", code)

    assert found.code == 0
    assert code in found.out


def test_explain_of_a_wrong_code_suggests():
    found = riskdoc("explain", "nonsense")

    assert found.code == 2
    assert "nonsense" in found.err


def test_tables_print_every_source():
    found = riskdoc("tables")

    assert found.code == 0
    assert "Baker & Haynes" in " ".join(found.out.split())
    assert found.out.count("judgement") > 20


def test_one_table_and_a_misspelt_one():
    assert "granite" in riskdoc("tables", "surfaces").out
    found = riskdoc("tables", "surface")
    assert found.code == 2
    assert "Did you mean surfaces?" in found.err
    assert json.loads(riskdoc("tables", "dynamic", "--json").out)["dynamic"]["raise"]


def test_help_carries_the_cautions_and_the_exit_codes():
    found = riskdoc("--help")
    text = " ".join(found.out.split())

    assert found.code == 0
    assert "can kill" in text
    assert "licensed practice come first" in text
    assert "2 a fault" in text


def test_every_command_has_help():
    for command in ("check", "render", "explain", "tables", "schema"):
        found = riskdoc(command, "--help")
        assert found.code == 0
        assert len(found.out) > 100


def test_a_misspelt_command_is_refused_with_a_hint():
    found = riskdoc("chek", "x.yaml")

    assert found.code == 2
    assert "check" in found.err


def test_render_writes_both_and_takes_the_exit_code_of_the_job(job, tmp_path):
    found = riskdoc("render", str(job(COMPLETE)), *ON, "--out", str(tmp_path / "out"))

    assert found.code == 0, found.err
    assert (tmp_path / "out" / "plan.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "out" / "plan.html").read_text("utf-8").lower().startswith("<!doctype html>")
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == ["plan.html", "plan.pdf"]


def test_a_file_in_place_of_the_folder_is_refused(job, tmp_path):
    (tmp_path / "file").write_text("in the way")
    found = riskdoc("render", str(job()), *ON, "--out", str(tmp_path / "file"), "--as", "html")

    assert found.code == 2
    assert "name a folder" in found.err


def test_a_folder_that_cannot_be_made_exits_3(job, tmp_path):
    (tmp_path / "file").write_text("in the way")
    out = str(tmp_path / "file" / "inside")
    found = riskdoc("render", str(job()), *ON, "--out", out, "--as", "html")

    assert found.code == 3
    assert "could not be written" in found.err


def test_a_full_disk_exits_3_and_a_reader_that_hangs_up_changes_nothing(job):
    command = f"{sys.executable} -m riskdoc.cli check {job(COMPLETE)} --on 2027-06-01"
    full = subprocess.run(
        f"{command} > /dev/full", shell=True, capture_output=True, text=True, check=False
    )
    gone = subprocess.run(
        ["bash", "-c", f"{command} --json | true; exit ${{PIPESTATUS[0]}}"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert full.returncode == 3
    assert "could not be written" in full.stderr
    assert gone.returncode == 0
    assert gone.stderr == ""


def test_the_report_does_not_depend_on_where_the_job_file_stands(job, tmp_path):
    path = job()
    riskdoc("render", str(path), *ON, "--out", "one", "--as", "html", folder=tmp_path)
    riskdoc("render", path.name, *ON, "--out", "two", "--as", "html", folder=tmp_path)
    one, two = ((tmp_path / n / "plan.html").read_bytes() for n in ("one", "two"))

    assert one == two
    assert str(tmp_path).encode() not in one


def test_a_narrow_terminal_is_not_overrun(job):
    command = [sys.executable, "-m", "riskdoc.cli", "check", str(job(over_edges())), *ON]
    found = subprocess.run(
        command, capture_output=True, text=True, env={**os.environ, "COLUMNS": "60"}, check=False
    )
    checks = found.stdout.split("key figures")[1]

    assert max(map(len, checks.splitlines()[:8])) <= 61


def test_check_loads_nothing_heavy(job):
    """pandas, WeasyPrint and Jinja2 stay out of a check."""
    code = (
        "import sys; from riskdoc.cli.main import app\n"
        f"try: app(['check', {str(job())!r}, '--on', '2027-06-01'])\n"
        "except SystemExit: pass\n"
        "print(sorted({'pandas', 'weasyprint', 'jinja2', 'pint'} & set(sys.modules)))"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert found.stdout.strip().endswith("[]")


def test_controls_say_what_to_write_for_each_check_and_how_far_limits_go(job):
    found = riskdoc("check", str(job(over_edges(ROUNDED))), *ON, "--controls")
    plain = riskdoc("check", str(job(over_edges(ROUNDED))), *ON)
    text = " ".join(found.out.split())

    assert found.code == plain.code == 1
    assert "package of changes, each with the key and the value to write:" in text
    assert re.search(r"→ Package: changes? 1", text)
    assert re.search(r"= (edges|lines|protection)\.[a-z_.]+: ", text)
    assert "With all of it, assessed anew: all " in text
    assert "Mass of worker (one person), kit of 18 kg not counted: planned 80 kg" in text
    assert "--controls shows" in plain.out
    assert "→ Package: " not in plain.out


def test_json_names_controls_limits_and_the_package_by_the_schema(job):
    data = json.loads(riskdoc("check", str(job(over_edges(ROUNDED))), *ON, "--json").out)
    schema = schema_of("check")
    jsonschema.validate(data, schema, cls=jsonschema.Draft202012Validator)

    found = data["package"]
    unmet = {c["id"] for c in data["checks"] if c["verdict"] != "adequate"}

    assert {each["of"] for each in data["limits"]} == {"plan", "package"}
    assert found["changes"]
    assert all(each["writes"] for each in found["changes"])
    assert set(found["mended"]) | set(found["left"]) | set(found["missing"]) == unmet
    assert set(found["mends"]) == set(found["mended"])
    assert found["brings"] == []
    assert all(each["changes"] and each["effects"] for each in data["controls"])


LESS = {"title": "less slack", "change": {"lines.safety.fall.free": "0.3 m"}}


def test_compare_puts_a_job_beside_its_alternatives_and_writes_what_is_asked(job, tmp_path):
    path = job({"alternatives": {"less_slack": LESS}})
    forms = ["--as", "csv", "--as", "xlsx", "--as", "html", "--as", "pdf"]
    found = riskdoc("compare", str(path), *ON, *forms, "--out", str(tmp_path / "out"))
    row = next(x for x in found.out.splitlines() if x.startswith("line/safety/fall/peak"))

    assert found.code == 0, found.err
    assert float(row.split()[1]) > float(row.split()[3])
    assert sorted(each.name for each in (tmp_path / "out").iterdir()) == [
        f"plan-compared.{form}" for form in ("csv", "html", "pdf", "xlsx")
    ]


def test_compare_of_several_jobs(job):
    first = job(name="one.yaml")
    other = job({"lines": {"safety": {"fall": {"free": "1.5 m"}}}}, name="two.yaml")
    found = riskdoc("compare", str(first), str(other), *ON)

    assert found.code == 0, found.err
    assert "one: worst check adequate; all checks met" in found.out
    assert "two: " in found.out
    assert "line/safety/clearance/needed" in found.out


def test_compare_with_nothing_to_compare_is_refused(job):
    alone = riskdoc("compare", str(job()), *ON)
    twice = riskdoc("compare", str(job()), str(job()), *ON)

    assert alone.code == twice.code == 2
    assert "no 'alternatives'" in alone.err
    assert "named twice" in twice.err


def test_compare_exits_1_when_no_plan_meets_all_checks(job):
    path = job(over_edges(ROUNDED), {"alternatives": {"less_slack": LESS}})

    assert riskdoc("compare", str(path), *ON).code == 1
