"""Random jobs: the plain plan with chosen parts and drawn amounts, the same in every run."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from typing import Any

import yaml

from riskdoc.job.reading import JobFile, read_text
from support.plan import COPING, DAY, PAD, PLATE, ROLLER, both_ropes, over_edges, tree_of

Change = dict[str, Any]
BOTH = ("working", "safety")


def plans(count: int, seed: int = 1) -> Iterator[JobFile]:
    """So many random jobs that read without a fault."""
    drawn, made = random.Random(seed), 0
    while made < count:
        text = yaml.dump(tree(drawn), Dumper=Plain, sort_keys=False, default_style='"')
        reading = read_text(text, "plan.yaml", DAY)
        if reading.file is not None and not reading.faults:
            made += 1
            yield reading.file


Plain: Any = getattr(yaml, "CSafeDumper", yaml.SafeDumper)


def tree(drawn: random.Random) -> Change:
    """One random job as it would be written; it may hold a contradiction."""
    changes = [part(drawn) for part in PARTS if drawn.random() < 0.35]
    return tree_of(*changes)


def amount(drawn: random.Random, low: float, high: float, unit: str = "") -> str:
    """An amount between two bounds, sometimes with a range."""
    first, other = sorted(drawn.uniform(low, high) for _ in range(2))
    text = f"{first:.3g} to {other:.3g}" if drawn.random() < 0.07 else f"{first:.3g}"
    return f"{text} {unit}".strip()


def site(drawn: random.Random) -> Change:
    """Drop, reach and wind."""
    reach = drawn.choice(("0 m", amount(drawn, 0.01, 8, "m")))
    found: Change = {"reach_sideways": reach, "wet": drawn.choice(("true", "false")),
                     "drop": "50 m",
                     "clear_below": amount(drawn, 1, 9, "m")}  # fmt: skip
    if drawn.random() < 0.6:
        found["wind"] = {
            "stop_at": amount(drawn, 1, 25, "m/s"),
            "measured_as": drawn.choice(("mean", "gust")),
            "height": "10 m",
            "source": "crew",
        }
    return {"sites": {"wall": found}}


def ropes(drawn: random.Random) -> Change:
    """What the ropes are like, with a drop test or without."""
    found: Change = {
        "diameter": amount(drawn, 10, 13, "mm"),
        "strength": amount(drawn, 18, 40, "kN"),
        "stretch": amount(drawn, 1, 9, "%"),
        "mass": amount(drawn, 50, 110, "g/m"),
        "sheath": drawn.choice(("polyamide", "polyester", "aramid")),
        "condition": drawn.choice(("good", "worn", "new")),
    }
    if drawn.random() < 0.5:
        peak = {"force": amount(drawn, 3, 6, "kN"), "mass": "100 kg"}
        found["peak"] = {**peak, "factor": amount(drawn, 0.3, 0.9)}
    return both_ropes(**found)


def loads(drawn: random.Random) -> Change:
    """How heavy who hangs there is."""
    return {"loads": {"worker": {"mass": amount(drawn, 45, 120, "kg"),
                                 "kit": amount(drawn, 0.5, 30, "kg")}}}  # fmt: skip


def edges(drawn: random.Random) -> Change:
    """An edge of each line, with something on it or nothing, and a further one of the first."""
    edge = {
        **COPING,
        "radius": amount(drawn, 0.1, 60, "mm"),
        "turn": amount(drawn, 2, 175, "deg"),
        "surface": drawn.choice(("granite", "sandstone", "polished metal", "rough concrete")),
    }
    if drawn.random() < 0.5:
        edge["friction"] = amount(drawn, 0.02, 1)
    width = {"width": amount(drawn, 50, 990, "mm")}
    sleeve = {"kind": "sleeve", "tied": drawn.choice(("true", "false"))}
    protector = drawn.choice((None, {**PAD, **width}, {**PLATE, **width}, {**ROLLER, **width},
                              sleeve))  # fmt: skip
    change = over_edges(edge, protector, amount(drawn, 0.2, 12, "m"), str(drawn.randint(0, 40)))
    if drawn.random() < 0.4:
        change["edges"]["far"] = {**change["edges"]["edge_working"],
                                  "turn": amount(drawn, 2, 90, "deg")}  # fmt: skip
        after = amount(drawn, 0.2, 6, "m")
        change["lines"]["working"]["over"].append({"edge": "far", "after": after})
    return change


def work(drawn: random.Random) -> Change:
    """What is done on the lines, how often and how long."""
    cases = ("hold", "descend", "ascend", "lower", "raise")
    return {"lines": {
        line: {"cases": sorted(drawn.sample(cases, drawn.randint(1, 3))),
               "runs": str(drawn.randint(1, 20)), "hours": amount(drawn, 0.1, 8, "h"),
               "strands": drawn.choice(("1", "1", "2", "3")),
               "below": amount(drawn, 2, 22, "m")}
        for line in BOTH
    }}  # fmt: skip


def fall(drawn: random.Random) -> Change:
    """A fall onto the safety line, and what its device does."""
    device = {"slip": amount(drawn, 2, 6, "kN")} if drawn.random() < 0.6 else {}
    if drawn.random() < 0.3:
        device["each_strand"] = "true"
    return {"lines": {"safety": {"fall": {"free": amount(drawn, 0, 4, "m"),
                                          "clear": amount(drawn, 2, 9.9, "m")}}},
            "devices": {"backup": device}}  # fmt: skip


def hauling(drawn: random.Random) -> Change:
    """A hauling system on the working line."""
    stages = [{"strands": str(drawn.randint(1, 5)), "ends": drawn.choice(("moving", "fixed"))}
              for _ in range(drawn.randint(1, 2))]  # fmt: skip
    haul: Change = {"stages": stages, "haulers": str(drawn.randint(1, 8))}
    if drawn.random() < 0.5:
        haul["efficiency"] = amount(drawn, 0.5, 1)
    return {"lines": {"working": {"cases": ["hold", "raise"], "haul": haul}}}


def redirects(drawn: random.Random) -> Change:
    """Redirects of the working line on an anchor of their own."""
    each = [
        {
            "anchor": "side",
            "turn": amount(drawn, 1, 179, "deg"),
            "after": f"{n + 0.4} m",
            "over": drawn.choice(("pulley", "connector")),
        }
        for n in range(drawn.randint(1, 2))
    ]
    legs = anchor(drawn)
    return {"anchors": {"side": legs}, "lines": {"working": {"redirects": each}}}


def anchors(drawn: random.Random) -> Change:
    """Legs of the anchors of both lines."""
    return {"anchors": {"one": anchor(drawn), "two": anchor(drawn)}}


def anchor(drawn: random.Random) -> Change:
    """One leg, two at angles, or three and more by their directions."""
    count = drawn.choice((1, 2, 2, 3, 4))
    legs: list[Change] = [{"strength": amount(drawn, 10, 40, "kN"), "evidence": "tested"}
                          for _ in range(count)]  # fmt: skip
    if count == 1:
        return {"legs": legs}
    found: Change = {"legs": legs, "equalised": drawn.choice(("self", "fixed"))}
    for leg in legs:
        if count == 2:
            leg["angle"] = amount(drawn, 0, 60, "deg")
        else:
            aside = [f"{drawn.uniform(-0.7, 0.7):.2f}" for _ in range(2)]
            leg["direction"] = [*aside, "1"]
        if found["equalised"] == "fixed" or drawn.random() < 0.7:
            leg["length"] = amount(drawn, 0.5, 4, "m")
    if count > 3:
        found["leg_count"] = str(count)
    if count > 2 and found["equalised"] == "fixed":
        found["pull"] = ["0", "0", "-1"]
    if found["equalised"] == "self":
        found["extension"] = amount(drawn, 0.05, 0.8, "m")
    return found


def rescue(drawn: random.Random) -> Change:
    """A rescue of two with the working line."""
    return {
        "loads": {"pair": {"people": "2", "mass": amount(drawn, 120, 200, "kg"), "kit": "30 kg"}},
        "lines": {"working": {"rescue": {"load": "pair",
                                         "how": drawn.choice(("lower", "raise"))}}},
    }  # fmt: skip


PARTS: tuple[Callable[[random.Random], Change], ...] = (
    site, ropes, loads, edges, work, fall, hauling, redirects, anchors, rescue
)  # fmt: skip
