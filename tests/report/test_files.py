"""Files are written whole or not at all."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from riskdoc.signing import files
from riskdoc.signing.files import write_whole


def test_writes_and_replaces(tmp_path):
    path = tmp_path / "report.pdf"
    write_whole(path, b"old")
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert [each.name for each in tmp_path.iterdir()] == ["report.pdf"]


def test_mode_is_that_of_any_new_file(tmp_path):
    plain = tmp_path / "plain"
    plain.write_bytes(b"")
    write_whole(tmp_path / "whole", b"")
    assert (tmp_path / "whole").stat().st_mode == plain.stat().st_mode


@pytest.mark.parametrize("error", [OSError, KeyboardInterrupt, MemoryError])
@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failure_leaves_the_old_file_and_no_other(tmp_path, monkeypatch, error, step):
    path = tmp_path / "report.pdf"
    path.write_bytes(b"old")

    def fail(*_args):
        raise error

    owner = files.os if step == "fsync" else Path
    with monkeypatch.context() as patch:
        patch.setattr(owner, step, fail)
        with pytest.raises(error):
            write_whole(path, b"new" * 1000)
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


KILLED = """
import os, signal, sys
from pathlib import Path
from riskdoc.signing import files
files.os.fsync = lambda _number: os.kill(os.getpid(), signal.SIGKILL)
files.write_whole(Path(sys.argv[1]), b"new" * 100000)
"""


def test_a_killed_run_leaves_the_old_file_whole(tmp_path):
    path = tmp_path / "report.pdf"
    path.write_bytes(b"old")
    top = str(Path(__file__).parents[2])
    ran = subprocess.run(
        [sys.executable, "-c", KILLED, str(path)],
        env={**os.environ, "PYTHONPATH": top},
        check=False,
    )
    assert ran.returncode < 0
    assert path.read_bytes() == b"old"


def test_a_folder_that_is_not_there_is_an_error(tmp_path):
    with pytest.raises(OSError, match="No such file"):
        write_whole(tmp_path / "none" / "report.pdf", b"x")
