"""What comes on the terminal: no control character, turned line or line end of foreign make.

A cleared screen with a verdict of one's own was printed from the title of a document.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from support.mini import MINI, mini, put_mini
from support.papers import signed, with_files
from support.signing import as_text, chained, environment, written
from support.typed import fresh, typed

from riskdoc.cli import saying
from riskdoc.signing.record_files import record_path

FORGED = "\x1b[2J\x1b[HAll of it holds."
HOSTILE = [
    FORGED, "\x9b2Jx", "\x07", "a\rAll of it holds.", "a\nAll of it holds.", "\u202eabc",
    "\u2066a\u2069", "\u2028x", "\x85x", "\x7f", "\ufeffx", "\u200bx", "\udcffx", "\x00x",
    "\U000e0041x", "\u2069\u2068x",
]  # fmt: skip


def riskdoc(*words: str | bytes, cwd: Path | None = None):
    found = typed(*words, cwd=cwd)
    return found.code, found.raw, found.raw_err


def is_plain(raw: bytes, encoding: str = "utf-8") -> bool:
    """Whether a terminal shows these bytes as they stand, line by line."""
    text = raw.decode(encoding)
    return all(line.isprintable() for line in text.split("\n"))


# ---------------------------------------------------------------- the one way out


@pytest.mark.parametrize("text", HOSTILE, ids=ascii)
def test_a_line_is_one_line_without_anything_that_moves_turns_or_hides(text, capsys):
    saying.tell(f"title: {text}")
    saying.complain(f"title: {text}")
    out, err = capsys.readouterr()

    assert out == err
    assert out.count("\n") == 1
    assert is_plain(out.encode("utf-8"))
    assert out.startswith("title: ")


@pytest.mark.parametrize("text", ["Zoë Kovač, 3 µm ≥ 2 m²", "縄 登り", "Ж", "→  ✓"])
def test_what_is_plain_stands_as_it_is(text, capsys):
    saying.tell(text)
    assert capsys.readouterr().out == f"{text}\n"


def test_a_name_from_right_to_left_keeps_the_marks_that_set_it_apart_and_no_others(capsys):
    saying.tell("signed by \u2068שרה\u2069 today")
    saying.tell("signed by שרה\u2069 today\u2068")
    first, second = capsys.readouterr().out.splitlines()

    assert first == "signed by \u2068שרה\u2069 today"
    assert second == "signed by שרה\\u2069 today\\u2068"


@pytest.mark.parametrize("text", HOSTILE, ids=ascii)
def test_json_stays_json_and_moves_nothing(text, capsys):
    saying.tell_json(json.dumps({"title": text}, ensure_ascii=False))
    out = capsys.readouterr().out

    assert is_plain(out.encode("utf-8"))
    assert json.loads(out) == {"title": text}


def test_every_line_of_the_command_line_goes_this_way():
    """Nothing else in `cli` writes to a stream."""
    for file in Path(saying.__file__).parent.glob("*.py"):
        if file.name == "saying.py":
            continue
        code = file.read_text("utf-8")
        for word in ("print(", "typer.echo", "stdout.write", "stderr.write", "getpass("):
            if (file.name, word) == ("sign_command.py", "getpass("):
                continue  # it asks with words of ours alone
            assert word not in code, (file.name, word)


# ---------------------------------------------------------------- the commands


def test_verify_prints_no_title_name_or_detail_of_a_document_raw(tmp_path):
    record = chained({"name": FORGED, "role": f"prepared{FORGED}"}).text.encode()
    forged = with_files(mini().html, {".signoff.yaml": lambda _: record})
    path = tmp_path / "plan.html"
    path.write_bytes(forged)
    code, out, err = riskdoc("verify", str(path), "--on", "2027-06-01")

    assert code == 1
    assert is_plain(out)
    assert is_plain(err)
    assert b"\nAll of it holds." not in out


@pytest.mark.parametrize("command", ["verify", "check", "render", "sign", "compare"])
@pytest.mark.parametrize("name", [f"x{FORGED}.yaml", "a\nAll of it holds.yaml", "\u202elmth.yaml"])
def test_the_name_of_a_file_is_never_printed_raw(command, name, tmp_path):
    words = [command, name]
    if command == "sign":
        words += ["--role", "prepared", "--name", "Ines"]
    for there in (False, True):
        if there:
            (tmp_path / name).write_text("riskdoc: 2\n")
        code, out, err = riskdoc(*words, cwd=tmp_path)
        assert code == 2, err
        assert is_plain(out)
        assert is_plain(err)
        assert b"Traceback" not in err


@pytest.mark.parametrize(
    "words",
    [[f"--x{FORGED}"], ["check", f"--x{FORGED}"], [f"ch{FORGED}"], ["explain", FORGED],
     ["tables", FORGED], ["schema", FORGED], ["check", "a.yaml", "--on", FORGED],
     ["render", "a.yaml", "--as", FORGED], ["check", "a.yaml", FORGED]],
    ids=ascii,
)  # fmt: skip
def test_what_was_typed_is_never_printed_raw(words):
    code, out, err = riskdoc(*words)

    assert code == 2
    assert is_plain(out)
    assert is_plain(err)
    assert b"Traceback" not in err


def test_a_record_with_a_cleared_screen_in_it_is_told_plainly_by_every_command(tmp_path):
    path = put_mini(tmp_path)
    written(record_path(path), chained({"name": FORGED, "meaning": FORGED}))
    for words in (["check"], ["check", "--json"], ["verify"], ["render", "--as", "html"]):
        _, out, err = riskdoc(words[0], path.name, *words[1:], "--on", "2027-06-01", cwd=tmp_path)
        assert is_plain(out), words
        assert is_plain(err), words


def test_a_name_that_is_no_utf_8_is_told_in_a_sentence(tmp_path):
    name = b"pl\xffan.yaml"
    Path(os.fsdecode(os.fsencode(tmp_path) + b"/" + name)).write_text(as_text(MINI))
    for words in (["check"], ["check", "--json"], ["verify"], ["render", "--as", "html"]):
        code, out, err = riskdoc(words[0], name, *words[1:], "--on", "2027-06-01", cwd=tmp_path)
        assert b"Traceback" not in err, err
        assert code in (0, 1), (words, err)
        assert is_plain(out)
    page = next((tmp_path / "output").glob("*.html"))
    code, out, err = riskdoc("verify", os.fsencode(page), "--on", "2027-06-01")
    assert (code, err) == (1, b""), out.decode()
    assert b"[does not hold]" in out  # it is a draft
    assert out.count(b"[does not hold]") == 1


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252"])
def test_output_in_a_small_encoding_loses_no_word(encoding, tmp_path):
    path = put_mini(tmp_path, {"job": {"title": "縄 Prüfung → ≥"}})
    signed(path)
    for words in (["check", "--all"], ["verify"], ["check", "--json"]):
        found = fresh(
            words[0], path.name, *words[1:], "--on", "2027-06-01", cwd=tmp_path,
            PYTHONIOENCODING=encoding,
        )  # fmt: skip
        out = found.stdout
        assert found.returncode == 0, found.stderr
        assert is_plain(out, encoding)
        if words[-1] == "--json":
            assert json.loads(out.decode(encoding))["job"]["title"] == "縄 Prüfung → ≥"


def test_a_failure_within_is_told_in_a_sentence_and_never_exits_1(tmp_path):
    path = put_mini(tmp_path)
    code = (
        "from riskdoc.judgement import assess\n"
        "import riskdoc.requirements.dossier as d\n"
        f"d.assess = lambda _: {{}}[{FORGED!r}]\n"
        "from riskdoc.cli.main import main\n"
        f"import sys; sys.argv = ['riskdoc', 'check', {path.name!r}]\n"
        "main()"
    )
    found = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, check=False, cwd=tmp_path,
        env=environment(), timeout=60,
    )  # fmt: skip

    assert found.returncode == 3
    assert b"Traceback" not in found.stderr
    assert b"KeyError" in found.stderr
    assert is_plain(found.stderr)


def test_a_stream_that_is_gone_is_no_verdict(tmp_path):
    path = put_mini(tmp_path)
    found = subprocess.run(
        ["/bin/sh", "-c", f"{sys.executable} -m riskdoc.cli check {path.name} 2>&-; echo $?"],
        capture_output=True, text=True, check=False, cwd=tmp_path, env=environment(), timeout=60,
    )  # fmt: skip
    assert found.stdout.splitlines()[-1] == "0"
