"""What a document states beside its content chooses from closed lists, and is never markup."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from support.papers import DAY, in_json, issued, with_files

from riskdoc.report.html import to_html
from riskdoc.verification.answers import ForeignError
from riskdoc.verification.verify import verified

STAMP = 'A4; }</style><div style="position:fixed">ALL CLEAR</div><script>x()</script><style>@page {'
EVIL = {
    "paper": [STAMP, "a4", "A3", "", None, 4, ["A4"]],
    "language": ["../de", "fr", "de/../de", "/etc/passwd", "", None, {"en": 1}, "en\0"],
    "units": ["both", "metric; }", None, 1],
}


def stated(page: bytes) -> dict[str, str]:
    return json.loads(issued().file("-figures.json"))["form"]


@pytest.mark.parametrize(("key", "value"), [(k, v) for k, each in EVIL.items() for v in each])
def test_a_form_that_no_job_file_may_state_is_refused(key, value):
    forged = with_files(issued().html, {"-figures.json": in_json("form", key, to=value)})

    with pytest.raises(ForeignError, match="form"):
        verified(forged, DAY)


def test_a_paper_with_a_stamp_in_it_does_not_hold():
    """Text, style and script on page 1, printed again as stated: all of it held."""
    page = issued().html
    old = b"@page { size: A4; }"
    assert page.count(old) == 1
    page = page.replace(old, f"@page {{ size: {STAMP}; }}".encode())
    forged = with_files(page, {"-figures.json": in_json("form", "paper", to=STAMP)})

    with pytest.raises(ForeignError, match="form"):
        verified(forged, DAY)


@pytest.mark.parametrize(
    "change",
    [
        lambda form: form.pop("paper"),
        lambda form: form.update(script="x()"),
        lambda form: form.clear(),
    ],
)
def test_a_form_with_a_key_more_or_less_is_refused(change):
    def other(raw: bytes) -> bytes:
        plain = json.loads(raw)
        change(plain["form"])
        return json.dumps(plain).encode()

    with pytest.raises(ForeignError, match="form"):
        verified(with_files(issued().html, {"-figures.json": other}), DAY)


@pytest.mark.parametrize(("key", "value"), [(k, v) for k, each in EVIL.items() for v in each])
def test_no_other_form_can_be_put_on_a_job_file(key, value):
    with pytest.raises(ValueError, match=key):
        issued().whole.study.plan.file.in_form(**{key: value})


def test_nothing_that_a_view_says_of_its_sheet_or_status_is_markup():
    """The second wall: a paper or a status that came in another way is no style."""
    view = issued().view
    stamped = replace(view, sheet=replace(view.sheet, paper=STAMP))
    with pytest.raises(KeyError):
        to_html(stamped, for_print=False)
    page = to_html(replace(view, status='"; } </style><script>x()'), for_print=False)
    assert "<script" not in page
    assert r'content: "\22 \3b  \7d  \3c /style\3e \3c script\3e x()";' in page
