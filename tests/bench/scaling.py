"""How the time of an assessment grows with lines, edges and ranged inputs. Prints; decides nothing.

Each row: the size, the median time of an assessment, and its ratio to the row before, beside the
ratio of the sizes.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from support.plan import BASE, COPING, ROPE, job_of, merged

from riskdoc.judgement.assess import assess
from riskdoc.mitigation.study import studied

RANGES: dict[str, tuple[str, str]] = {
    "loads.mass": ("80 kg", "75 to 85 kg"),
    "loads.kit": ("18 kg", "15 to 20 kg"),
    "ropes.strength": ("30 kN", "28 to 32 kN"),
    "ropes.stretch": ("3.5 %", "3.0 to 4.0 %"),
    "ropes.diameter": ("11 mm", "10.8 to 11.2 mm"),
    "edges.radius": ("4 mm", "3 to 6 mm"),
    "edges.turn": ("40 deg", "35 to 45 deg"),
    "edges.friction": ("0.4", "0.3 to 0.5"),
    "lines.below": ("20 m", "18 to 22 m"),
    "lines.after": ("2.5 m", "2 to 3 m"),
}


def plan(lines: int, edges: int, ranged: int) -> dict[str, Any]:
    value = {key: pair[1 if n < ranged else 0] for n, (key, pair) in enumerate(RANGES.items())}
    job = merged(BASE, {"sites": {"wall": {"reach_sideways": "1 m"}}})
    job |= {"lines": {}, "ropes": {}, "edges": {}, "loads": {}, "anchors": {}}
    for n in range(lines):
        job["ropes"][f"r{n}"] = ROPE | {
            key: value[f"ropes.{key}"] for key in ("strength", "stretch", "diameter")
        }
        job["loads"][f"w{n}"] = {
            "people": "1", "mass": value["loads.mass"], "kit": value["loads.kit"]
        }  # fmt: skip
        job["anchors"][f"a{n}"] = {"legs": [{"strength": "22 kN", "evidence": "tested"}]}
        over = []
        for k in range(edges):
            job["edges"][f"e{n}_{k}"] = COPING | {
                key: value[f"edges.{key}"] for key in ("radius", "turn", "friction")
            }
            over.append({"edge": f"e{n}_{k}", "after": value["lines.after"]})
        job["lines"][f"l{n}"] = {
            "role": "safety", "rope": f"r{n}", "anchor": f"a{n}", "over": over,
            "below": value["lines.below"], "load": f"w{n}", "cases": ["lower", "raise"],
            "passes": "2", "fall": {"free": "0.6 m", "clear": "9 m"},
            "knots": {"anchor": "figure-of-eight", "load": "figure-of-eight"},
        }  # fmt: skip
    return job


def seconds(lines: int, edges: int, ranged: int) -> float:
    file = job_of(plan(lines, edges, ranged), base={})
    found = []
    for _ in range(5):
        start = time.perf_counter()
        assess(file)
        found.append(time.perf_counter() - start)
    return statistics.median(found)


def studies() -> None:
    """Time of a whole study, the search for the smallest set and the limits in it, by lines."""
    before, last = 0.0, 0
    for lines in (4, 8, 12, 16):
        file = job_of(plan(lines, 1, 0), base={})
        start = time.perf_counter()
        found = studied(file)
        now = time.perf_counter() - start
        grown = f"{now / before:.2f} for {lines / last:.2f}" if before else "-"
        sys.stdout.write(
            f"{'study, lines':22} {lines:9d}: {now * 1000:7.0f} ms   {grown}   "
            f"{found.effort.judged} jobs judged, {found.effort.lines} lines worked out\n"
        )
        before, last = now, lines


def main() -> None:
    for name, sizes in {
        "lines": [(8, 1, 4), (12, 1, 4), (18, 1, 4), (27, 1, 4), (50, 1, 4)],
        "edges": [(10, 1, 4), (10, 2, 4), (10, 3, 4)],
        "ranged inputs a line": [(10, 1, 2), (10, 1, 4), (10, 1, 6), (10, 1, 8), (10, 1, 10)],
        "all of it": [(50, 1, 10)],
    }.items():
        before, at = 0.0, "lines" if name == "lines" else name
        last = 0
        for size in sizes:
            now = seconds(*size)
            amount = size[{"lines": 0, "edges": 1}.get(at, 2)]
            grown = f"{now / before:.2f} for {amount / last:.2f}" if before else "-"
            sys.stdout.write(f"{name:22} {size}: {now * 1000:7.0f} ms   {grown}\n")
            before, last = now, amount
    studies()


if __name__ == "__main__":
    main()
