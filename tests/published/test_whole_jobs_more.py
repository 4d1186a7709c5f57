"""Falls with slip, clearance, anchors in space, swing, wind, hauling, heat and kit, as whole jobs.

Expected values are printed ones or worked by hand, with the source beside each.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from support.plan import as_json, both_ropes, check, figure, over_edges

G = 9.80665  # standard gravity, CGPM 1901
HUNDRED = {"loads": {"worker": {"people": "1", "mass": "100 kg", "kit": "0 kg"}}}
STILL = {line: {"cases": ["hold"]} for line in ("working", "safety")}


def thing(newtons: float) -> dict[str, Any]:
    mass = f"{newtons / G:.12g} kg"
    return {"loads": {"worker": {"people": "0", "mass": mass, "kit": "0 kg"}}, "lines": STILL}


def anchor(*directions: list[str], **more: Any) -> dict[str, Any]:
    legs = [{"strength": "50 kN", "evidence": "tested", "direction": d} for d in directions]
    return {"anchors": {"one": {"legs": legs, **more}}}


def leg(data: dict[str, Any], n: int) -> float:
    return figure(data, f"anchor/one/leg/{n}/working/hold")["expected"]


class TestThreeLegsInSpace:
    """A tripod by hand: legs along (2,1,2), (-2,1,2) and (0,-3,4) under 900 N straight down.

    x: t1 = t2 = t. y: 2t/3 = 3 t3/5, so t3 = 10t/9. z: 4t/3 + 4 t3/5 = 20t/9 = 900, so t = 405
    and t3 = 450. Three independent directions leave nothing to the stiffness of the legs.
    """

    @pytest.mark.parametrize("lengths", [("1 m", "1 m", "1 m"), ("1 m", "3 m", "2 m")])
    def test_forces(self, lengths):
        tripod = anchor(["2", "1", "2"], ["-2", "1", "2"], ["0", "-3", "4"],
                        equalised="fixed", pull=["0", "0", "-1"])  # fmt: skip
        for each, length in zip(tripod["anchors"]["one"]["legs"], lengths, strict=True):
            each["length"] = length
        data = as_json(thing(900), tripod)

        assert leg(data, 1) == pytest.approx(405)
        assert leg(data, 2) == pytest.approx(405)
        assert leg(data, 3) == pytest.approx(450)

    def test_self_equalising_legs_carry_the_same(self):
        """By hand: three legs 120° around, each 60° from the pull: 3 t cos 60° = T, t = 600 N."""
        data = as_json(
            thing(900),
            anchor(
                ["1.732051", "0", "1"],
                ["-0.866025", "1.5", "1"],
                ["-0.866025", "-1.5", "1"],
                equalised="self",
            ),
        )

        assert [leg(data, n) for n in (1, 2, 3)] == pytest.approx([600] * 3, rel=1e-5)


def test_parallel_legs_share_by_one_over_length():
    """By hand: lengths 1 m and 2 m carry 2/3 and 1/3; a third leg below the joint hangs slack."""
    plan = anchor(["0", "0", "1"], ["0", "0", "1"], ["0", "0", "-1"],
                  equalised="fixed", pull=["0", "0", "-1"])  # fmt: skip
    for each, length in zip(plan["anchors"]["one"]["legs"], ("1 m", "2 m", "1 m"), strict=True):
        each["length"] = length
    data = as_json(thing(900), plan)

    assert leg(data, 1) == pytest.approx(600)
    assert leg(data, 2) == pytest.approx(300)
    assert leg(data, 3) == 0
    assert any("hangs slack" in f["text"] for f in data["findings"])


def test_each_leg_lost_in_turn():
    """By hand: of three parallel legs of one length two are left, with half the pull each."""
    plan = anchor(*(["0", "0", "1"] for _ in range(3)), equalised="self",
                  extension={"none": "a knot beside each leg"})  # fmt: skip
    data = as_json(thing(1200), plan)

    for lost in (1, 2, 3):
        left = [n for n in (1, 2, 3) if n != lost]
        for n in left:
            id = f"anchor/one/leg_lost/{lost}/{n}/working"
            assert figure(data, id)["expected"] == pytest.approx(600)
        assert check(data, f"anchor/one/leg_lost/{lost}")["verdict"] == "adequate"


def test_redirect_force_table():
    """Redirect table by hand: strands 90° apart, that is a turn of 90°: 1.414 T."""
    plan = {"lines": {"working": {"redirects": [
        {"anchor": "two", "turn": "90 deg", "after": "5 m", "over": "pulley"}]}}}  # fmt: skip
    data = as_json(thing(1000), plan)
    force = figure(data, "line/working/redirect/1/force")["expected"]

    assert force == pytest.approx(1414, abs=0.5)
    assert any("fails" in f["text"] for f in data["findings"])


def slipping(slip: str, free: str = "4 m") -> dict[str, Any]:
    device = {"kind": "back-up device", "diameter_from": "10 mm", "diameter_to": "12 mm",
              "standards": ["EN 1891 type A"], "slip": slip}  # fmt: skip
    return {
        "devices": {"backup": device},
        "sites": {"wall": {"drop": "60 m"}},
        "lines": {"safety": {"devices": ["backup"], "fall": {"free": free, "clear": "20 m"}}},
    }


def test_a_slipping_device_caps_the_peak_and_keeps_the_energy():
    """Work-energy by hand, as in ANSI Z359.6: m g (h + x + s) = F x/2 + F s at F = 4 kN."""
    data = as_json(HUNDRED, slipping("4 kN"))
    name = "line/safety/fall"
    peak, x, s = (
        figure(data, f"{name}/{part}")["expected"] for part in ("peak", "stretch", "slip")
    )

    assert peak == 4000
    assert 100 * G * (4 + x + s) == pytest.approx(4000 * x / 2 + 4000 * s)


def test_a_device_that_need_not_slip_does_not():
    data = as_json(HUNDRED, slipping("12 kN", free="0.1 m"))

    assert figure(data, "line/safety/fall/slip")["high"] == 0
    assert figure(data, "line/safety/fall/peak")["expected"] < 12000


def test_clearance_is_the_sum_of_its_stack():
    """The sum as in the US and European forms: fall, stretch, slip, body, spare; 1.5 m and 1 m."""
    data = as_json(HUNDRED, slipping("4 kN"))
    x, s = (figure(data, f"line/safety/fall/{part}")["expected"] for part in ("stretch", "slip"))
    needed = figure(data, "line/safety/clearance/needed")["expected"]

    assert needed == pytest.approx(4 + x + s + 1.5 + 1.0)


def test_clearance_to_the_ground_and_to_a_ledge():
    ledges = [{"name": "sill", "below": "2 m"}]
    data = as_json({"lines": {"safety": {"fall": {"ledges": ledges}}}})

    assert check(data, "line/safety/clearance")["verdict"] == "adequate"
    assert check(data, "line/safety/clearance/ledges")["verdict"] == "inadequate"


def test_clear_height_left_out_is_not_demonstrated():
    data = as_json({"lines": {"safety": {"fall": {"clear": None}}}})
    found = check(data, "line/safety/clearance")

    assert found["verdict"] == "not demonstrated"
    assert found["missing"] == ["lines.safety.fall.clear"]


def test_str_2_and_3_sink_under_a_person_with_the_rope_s_own_weight():
    """By hand: 5 % rope (K = 19.613 kN), 100 kg on 50 m: 2.500 m, and 75 g/m adds 0.0469 m."""
    plan = {"lines": {"working": {"below": "50 m"}}, "sites": {"wall": {"drop": "60 m"}}}
    data = as_json(HUNDRED, both_ropes(stretch="5 %"), plan)
    sink = figure(data, "line/working/stretch/hold")["expected"]

    assert sink == pytest.approx(2.500 + 0.0469, abs=1e-3)


def test_pen_4_tension_under_the_pivot():
    """Energy by hand: 3 - 2 cos 30° = 1.2679 times the weight; sin 30° is half the rope below."""
    plan = over_edges(passes="1")
    plan["lines"]["working"]["below"] = "8 m"
    data = as_json(HUNDRED, plan, {"sites": {"wall": {"reach_sideways": "4 m"}}})
    tension = figure(data, "line/working/swing/tension")["expected"]

    assert tension / (100 * G) == pytest.approx(1.2679, abs=5e-5)


def test_pen_1_speed_at_the_bottom():
    """OpenStax University Physics vol. 1 §8.3: 1.0 m and 30° give 1.62 m/s."""
    plan = over_edges(passes="1")
    plan["lines"]["working"]["below"] = "1.0 m"
    data = as_json(HUNDRED, plan, {"sites": {"wall": {"reach_sideways": "0.5 m"}}})

    assert figure(data, "line/working/swing/speed")["expected"] == pytest.approx(1.62, abs=0.005)


def wind(speed: str, **more: str) -> dict[str, Any]:
    blow = {"stop_at": speed, "measured_as": "gust", "height": "10 m", "source": "test", **more}
    hours = {line: {"hours": "2 h"} for line in ("working", "safety")}
    return {"sites": {"wall": {"wind": blow}}, "lines": hours}


def test_wind_4_force_and_offset():
    """By hand: ρ 1.225, CdA 0.7, 10 m/s: 42.9 N; 100 kg hangs 2.50° off, tan 2.50° = 0.0437."""
    data = as_json(HUNDRED, wind("10 m/s"))
    force, offset = (figure(data, f"line/working/wind/{part}")["expected"]
                     for part in ("force", "offset"))  # fmt: skip

    assert force == pytest.approx(42.9, abs=0.05)
    assert offset / 20 == pytest.approx(math.tan(math.radians(2.50)), rel=2e-3)


def test_wind_6_square_law_and_the_word():
    """Drag by the square of the speed; WMO-No. 306: 10.8 m/s is Beaufort 6, strong breeze."""
    one, two = (as_json(HUNDRED, wind(v, measured_as="mean")) for v in ("5.4 m/s", "10.8 m/s"))
    id = "line/working/wind/force"

    assert figure(two, id)["expected"] == pytest.approx(4 * figure(one, id)["expected"])
    assert "Beaufort 6, strong breeze" in figure(two, id)["title"]
    assert "Beaufort 3, gentle breeze" in figure(one, id)["title"]


def test_gusts_add_sweeps_and_wind_without_hours_is_not_demonstrated():
    plan, id = over_edges(passes="1"), "line/working/edge/edge_working/exposure"
    calm = as_json(plan)
    windy = as_json(plan, wind("10 m/s", gusts_per_hour="30"))
    untimed = as_json(plan, wind("10 m/s"), {"lines": {"working": {"hours": None}}})

    assert figure(windy, id)["expected"] > figure(calm, id)["expected"]
    assert check(untimed, id)["missing"] == ["lines.working.hours"]


def hauled(*stages: tuple[int, str], haulers: int = 3, **more: Any) -> dict[str, Any]:
    listed = [{"strands": str(n), "ends": ends} for n, ends in stages]
    haul = {"stages": listed, "haulers": str(haulers), **more}
    return {"lines": {"working": {"cases": ["raise"], "haul": haul}}}


def test_haul_5_and_6_advantage():
    """By hand: 3:1 at 0.9 is 1 + 0.9 + 0.81 = 2.710, with one more turn 2.439."""
    for ends, printed in (("moving", 2.710), ("fixed", 2.439)):
        data = as_json(hauled((3, ends), efficiency="0.9"))
        found = figure(data, "line/working/haul/advantage")["expected"]
        assert found == pytest.approx(printed, abs=5e-4)


def test_haul_7_without_friction_and_compound():
    """Limit by hand: efficiency 1 gives n; stages multiply: 3:1 on 2:1 is 6."""
    data = as_json(hauled((3, "moving"), (2, "moving"), efficiency="1"))

    assert figure(data, "line/working/haul/advantage")["expected"] == pytest.approx(6)


def test_haul_8_people_needed():
    """By hand: 1571.0 N over a 90° edge at μ 0.3, 3:1 at 0.9, 225 N each (Kodak 1986): 579.7 N,
    three people."""
    bare = {"site": "wall", "surface": "granite", "radius": "30 mm", "turn": "90 deg",
            "friction": "0.3"}  # fmt: skip
    data = as_json(over_edges(bare), HUNDRED, hauled((3, "moving"), efficiency="0.9"))
    effort = figure(data, "line/working/haul/effort")["low"]  # dynamic factor 1

    assert effort == pytest.approx(579.7, abs=0.1)
    assert figure(data, "line/working/haul/team")["low"] == 3


def test_jam_puts_the_whole_team_into_the_line():
    """By hand: 4 haulers who jerk 550 N each on a 3:1 without friction: 6600 N, at every station.

    The jerk is 0.4 / 0.55 / 0.7 kN (issue 13, from memory): 4800 to 8400 N.
    """
    data = as_json(over_edges(), hauled((3, "moving"), haulers=4))
    found = figure(data, "line/working/tension/anchor/jam")

    assert found["expected"] == pytest.approx(6600)
    jam = figure(data, "line/working/haul/jam")
    assert (jam["low"], jam["expected"], jam["high"]) == pytest.approx((4800, 6600, 8400))


def test_a_strong_team_on_a_snagged_load_spoils_the_margin():
    few = as_json(hauled((3, "moving"), haulers=2))
    many = as_json(hauled((3, "moving"), (3, "moving"), haulers=8))

    assert check(few, "line/working/margin/derated")["verdict"] == "adequate"
    assert check(many, "line/working/margin/derated")["verdict"] == "inadequate"
    assert "jam" in check(many, "line/working/margin/derated")["reason"]


def test_anchor_of_a_system_off_a_fixed_pulley_feels_load_and_team():
    """Strands by hand: the fixed block holds the load's tension and the haulers' strand: T + P."""
    data = as_json(HUNDRED, hauled((3, "fixed"), haulers=2, efficiency="1"))
    pull = figure(data, "anchor/one/force/working")["expected"]
    jam = 2 * 550 * 3  # the team's ideal jerk stands in the line, and its own 1100 N beside it

    assert pull == pytest.approx(max(100 * G * 1.2 * (1 + 1 / 3), jam + 1100))


def device(**change: Any) -> dict[str, Any]:
    part = {"kind": "descender", "diameter_from": "10 mm", "diameter_to": "12 mm",
            "standards": ["EN 1891 type A"], "strength": "15 kN", "mass": "0.5 kg",
            "material": "aluminium", **change}  # fmt: skip
    return {
        "devices": {"lower": part},
        "lines": {"working": {"devices": ["lower"], "below": "50 m"}},
        "sites": {"wall": {"temperature": "10 degC", "drop": "55 m", "clear_below": "5 m"}},
    }


def test_heat_4_descender_bound():
    """By hand: 100 kg, 50 m, 0.5 kg at 900 J/(kg K): 49.03 kJ, 109.0 K; steel at 452: 217.0 K.

    That is with all heat in the device. Of it 0.3 / 0.5 / 0.8 stays there: 109.0 K becomes 32.7 to
    87.2 K with 54.5 K expected, 217.0 K becomes 65.1 to 173.6 K with 108.5 K.
    """
    data = as_json(HUNDRED, device())
    steel = as_json(HUNDRED, device(material="steel"))
    id = "line/working/heat/rise/lower"

    assert figure(data, "line/working/heat/energy")["expected"] == pytest.approx(49030, rel=1e-3)
    for found, rise in ((data, (32.7, 54.5, 87.2)), (steel, (65.1, 108.5, 173.6))):
        each = figure(found, id)
        assert (each["low"], each["expected"], each["high"]) == pytest.approx(rise, rel=1e-3)
    assert check(data, "line/working/heat/lower")["verdict"] == "adequate"


def test_mat_1_hmpe_softens_where_polyamide_does_not():
    """Melting order of the fibres: HMPE first (Handbook of Fibre Rope Technology).

    By hand: 0.15 kg take 363 K with all heat, 182 K with half: past HMPE's 148 °C less 10 °C of
    air, and short of polyamide's 220 °C less 10 °C.
    """
    plan, id = device(mass="0.15 kg"), "line/working/heat/lower"

    assert check(as_json(HUNDRED, plan, both_ropes(sheath="HMPE")), id)["verdict"] == "inadequate"
    assert check(as_json(HUNDRED, plan), id)["verdict"] == "borderline"


def test_air_temperature_left_out_is_not_demonstrated():
    data = as_json(HUNDRED, device(), {"sites": {"wall": {"temperature": None}}})

    assert check(data, "line/working/heat/lower")["missing"] == ["sites.wall.temperature"]


def test_the_rescue_load_goes_through_every_check():
    two = {"loads": {"both": {"people": "2", "mass": "180 kg", "kit": "20 kg"}},
           "lines": {"working": {"rescue": {"load": "both", "how": "lower"}}}}  # fmt: skip
    data = as_json(over_edges(), two)

    assert figure(data, "line/working/tension/load/rescue")["low"] == pytest.approx(200 * G)
    assert figure(data, "anchor/one/leg/1/working/rescue")
    assert figure(data, "line/working/edge/edge_working/exposure/running/rescue")
    alone = figure(as_json(over_edges()), "line/working/margin/rated")["expected"]
    assert figure(data, "line/working/margin/rated")["expected"] == pytest.approx(alone * 98 / 200)


@pytest.mark.parametrize(
    ("chemical", "fibre", "damaged"),
    [("acid", "polyamide", True), ("alkali", "polyester", True),
     ("alkali", "polyamide", False), ("acid", "polyester", False)],
)  # fmt: skip
def test_mat_3_chemicals(chemical, fibre, damaged):
    """A national safety centre's text on slings: acids and polyamide, alkalis and polyester."""
    data = as_json({"sites": {"wall": {"chemicals": [chemical]}}},
                   both_ropes(sheath=fibre, core=fibre))  # fmt: skip
    found = check(data, "line/working/chemicals")["verdict"]

    assert found == ("inadequate" if damaged else "adequate")


def test_a_device_of_the_wrong_size_and_one_that_states_none():
    wrong = as_json(device(diameter_from="8 mm", diameter_to="9 mm"))
    silent = as_json(device(diameter_from=None, diameter_to=None))

    assert check(wrong, "line/working/device/lower")["verdict"] == "inadequate"
    assert check(silent, "line/working/device/lower")["verdict"] == "not demonstrated"


def test_a_rope_that_ends_above_the_ground():
    high = {"sites": {"wall": {"drop": "120 m"}}}
    knotted = {"lines": {line: {"stopper": "true"} for line in ("working", "safety")}}

    def said(*more):
        return check(as_json(high, *more), "line/working/rope_length")["verdict"]

    def clear(height):
        return {"sites": {"wall": {"clear_below": height}}}

    assert said() == "inadequate"  # 120 m and a tail of 2 m, of 100 m
    # with a stopper down to the lowest place of work: 120 - 22 + 2 = 100 m, 120 - 21.9 + 2 > 100 m
    assert said(knotted, clear("22 m")) == "adequate"
    assert said(knotted, clear("21.9 m")) == "inadequate"
    assert said(knotted, clear(None)) == "not demonstrated"
    # a stopper ends what is lowered on the rope above the ground
    lowered = {"lines": {"working": {"rescue": {"load": "worker", "how": "lower"}}}}
    assert said(knotted, clear("22 m"), lowered) == "inadequate"
    work = {"lines": {"working": {"cases": ["lower"]}}}
    assert said(knotted, clear("22 m"), work) == "inadequate"
    enough = {"sites": {"wall": {"drop": "98 m"}}}
    assert said(knotted, clear("22 m"), lowered, enough) == "adequate"  # 98 + 2 = 100 m


def test_packed_volume():
    """By hand: π/4 · (11 mm)² · 100 m / 0.5 = 0.0190 m³."""
    volume = figure(as_json(), "rope/main/packed_volume")["expected"]

    assert volume == pytest.approx(0.0190, abs=5e-5)


def test_the_price_of_two_strands_stands_beside_their_gain():
    """Two strands: less wear, and a greater peak force in the same fall; both computed."""
    plan = over_edges(passes="2")
    two = {"lines": {"safety": {"strands": "2"}}}
    one_strand, two_strands = as_json(plan), as_json(plan, two)
    peak = "line/safety/fall/peak"
    text = next(f["text"] for f in two_strands["findings"] if f["id"] == "line/safety/strands")

    assert figure(two_strands, peak)["expected"] > figure(one_strand, peak)["expected"]
    assert "on one strand" in text


def test_inputs_that_decide_come_in_order():
    """Of a check near its requirement, each input's own effect on the ratio, greatest first."""
    data = as_json({"anchors": {"one": {"legs": [{"strength": "9 / 13 / 15 kN",
                                                  "evidence": "assessed"}]}}})  # fmt: skip
    found = check(data, "anchor/one/strength")
    spreads = [abs(each["at_high"] - each["at_low"]) for each in found["decides"]]

    assert found["verdict"] == "borderline"
    assert found["decides"][0]["input"] == "anchors.one.legs[1].strength"
    assert spreads == sorted(spreads, reverse=True)
    assert "Know better: strength of leg 1" in found["remedy"]
