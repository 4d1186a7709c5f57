"""Mass and packed volume of ropes and of everything on the lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.inputs import from_table, stated
from riskdoc.analysis.resolve import Rig
from riskdoc.i18n.message import message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.by_count import kit_mass, kit_volume
from riskdoc.mechanics.kit import PACKED_VOLUME, ROPE_MASS, packed_volume
from riskdoc.quantities.intervals import Interval, combine, product, total


def rope_figures(file: JobFile, rope: str) -> Iterator[Figure]:
    """Mass of a rope."""
    per_metre = stated(
        file, ("ropes", rope, "mass"), "w", message("mass per length of {rope}", rope=rope)
    )
    length = stated(file, ("ropes", rope, "length"), "L", message("length of {rope}", rope=rope))
    title = message("Mass of {rope}", rope=rope)
    yield figure(
        f"rope/{rope}/mass",
        title,
        ROPE_MASS,
        {
            "w": per_metre,
            "L": length,
        },
        _mass(file, rope),
    )
    yield figure(
        f"rope/{rope}/packed_volume",
        message("Packed volume of {rope}", rope=rope),
        PACKED_VOLUME,
        {
            "d": stated(
                file, ("ropes", rope, "diameter"), "d", message("diameter of {rope}", rope=rope)
            ),
            "L": length,
            "fill": from_table("work", "packing", "fill"),
        },
        _packed(file, rope),
    )


def kit_figures(file: JobFile, rig: Rig) -> Iterator[Figure]:
    """Mass of everything on the lines and packed volume of the ropes, each piece once."""
    ropes = dict.fromkeys(line.line.rope for line in rig.lines)
    devices = dict.fromkeys(name for line in rig.lines for name in line.all_devices)
    unknown = [name for name in devices if file.job.devices[name].mass is None]
    masses = [
        stated(file, ("devices", name, "mass"), "m", message("mass of {name}", name=name)).on_axis(
            "kit"
        )
        for name in devices
        if name not in unknown
    ]
    title = message("Mass of the ropes and devices on the lines")
    if unknown:
        title = message(
            "Mass of the ropes and devices on the lines; at least, for {unknown} states no mass",
            unknown=", ".join(unknown),
        )
    yield figure(
        "kit/mass",
        title,
        kit_mass(len(ropes), len(masses)),
        {
            **_each_rope(file, ropes, {"w": "mass", "L": "length"}),
            **{f"m{n}": mass for n, mass in enumerate(masses, start=1)},
        },
        total(*(_mass(file, rope) for rope in ropes), *masses),
    )
    yield figure(
        "kit/packed_volume",
        message("Packed volume of the ropes on the lines"),
        kit_volume(len(ropes)),
        {
            **_each_rope(file, ropes, {"d": "diameter", "L": "length"}),
            "fill": from_table("work", "packing", "fill"),
        },
        total(*(_packed(file, rope) for rope in ropes)),
    )


def _each_rope(
    file: JobFile, ropes: Iterable[str], measures: Mapping[str, str]
) -> dict[str, Interval]:
    """Measures of each rope by symbol, numbered."""
    return {
        f"{symbol}{n}": _of_rope(file, rope, key, symbol)
        for n, rope in enumerate(ropes, start=1)
        for symbol, key in measures.items()
    }


def _of_rope(file: JobFile, rope: str, key: str, symbol: str) -> Interval:
    """A measure of a rope, on one axis with all others.

    Mass and volume rise with each of them, so nothing is lost by their going to their ends
    together, and any number of ropes can be added up.
    """
    words = {
        "mass": message("mass per length of {rope}", rope=rope),
        "length": message("length of {rope}", rope=rope),
        "diameter": message("diameter of {rope}", rope=rope),
    }
    return stated(file, ("ropes", rope, key), symbol, words[key]).on_axis("kit")


def _mass(file: JobFile, rope: str) -> Interval:
    return product(_of_rope(file, rope, "mass", "w"), _of_rope(file, rope, "length", "L"))


def _packed(file: JobFile, rope: str) -> Interval:
    diameter, length = _of_rope(file, rope, "diameter", "d"), _of_rope(file, rope, "length", "L")
    return combine(packed_volume, diameter, length, from_table("work", "packing", "fill"))
