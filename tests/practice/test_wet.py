"""Whether a rope can get wet: stated of the line or of its site, or not demonstrated."""

from __future__ import annotations

import pytest
from support.plan import as_json, check


@pytest.mark.parametrize(
    ("site", "line", "verdict"),
    [
        ("true", None, "adequate"),
        ("false", None, "adequate"),
        (None, "false", "adequate"),
        (None, "true", "adequate"),
        ("true", "false", "adequate"),
        (None, None, "not demonstrated"),
    ],
)
def test_wet_or_dry_is_stated(site, line, verdict):
    data = as_json({"sites": {"wall": {"wet": site}}, "lines": {"working": {"wet": line}}})
    found = check(data, "line/working/wet")

    assert found["verdict"] == verdict
    assert found["missing"] == (["sites.wall.wet"] if verdict != "adequate" else [])
