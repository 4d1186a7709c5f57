"""How a computed value is held against a printed one."""

from decimal import Decimal

import pytest


@pytest.fixture
def agrees():
    """Assert that a value rounds to the printed digits: within half the last one.

    `printed` is text, as it stands in the source: its digits set the tolerance. A wider `within`
    needs its reason where it is used.
    """

    def check(value, printed, within=None):
        half_digit = float(Decimal(5).scaleb(Decimal(printed).as_tuple().exponent - 1))
        allowed = half_digit if within is None else within
        slack = 1e-12 * abs(float(printed))  # binary fractions at the very edge of a digit
        assert abs(float(value) - float(printed)) <= allowed + slack, f"{value} against {printed}"

    return check
