"""The reference rig of our practice notes, positive and negative, built without the description's reader."""

from __future__ import annotations

import math
from collections.abc import Mapping

from linter.circuit.model import Circuit
from linter.description.described import Thing
from tests.circuits import circuit, known, part

PLACES = {"cab tray": 45, "chassis rail": 55, "lift box": 45, "drawbar": 50, "locker": 45, "extraction room": 45, "roof": 70}
# Wire: mm² of copper, insulation class in °C, hottest place passed.
WIRES = {
    "W11": (25, 105, "chassis rail"),
    "W12": (25, 105, "chassis rail"),
    "W21": (25, 105, "drawbar"),
    "W13": (6, 105, "chassis rail"),
    "W14": (6, 105, "lift box"),
    "W15": (70, 105, "lift box"),
    "W16": (70, 105, "lift box"),
    "W17": (35, 105, "chassis rail"),
    "W22": (35, 105, "drawbar"),
    "W23a": (70, 105, "locker"),
    "W23b": (70, 105, "locker"),
    "W24a": (70, 105, "locker"),
    "W24b": (70, 105, "locker"),
    "W25a": (16, 105, "locker"),
    "W25b": (16, 105, "locker"),
    "W26": (10, 105, "locker"),
    "W27": (10, 105, "locker"),
    "W28": (6, 105, "chassis rail"),
    "W29": (1, 70, "locker"),
    "W31": (95, 105, "locker"),
    "W32": (16, 105, "extraction room"),
    "W33": (16, 105, "extraction room"),
    "W34": (2.5, 70, "extraction room"),
    "W35": (10, 105, "extraction room"),
    "W36": (6, 105, "extraction room"),
    "W37": (2.5, 70, "extraction room"),
    "W41a": (4, 90, "roof"),
    "W41b": (4, 90, "roof"),
    "W41c": (4, 90, "roof"),
    "W42": (16, 90, "roof"),
}
FUSES = {
    "F1": 75,
    "F2": 30,
    "F3": 30,
    "F4": 225,
    "F5": 225,
    "F6": 225,
    "F7": 75,
    "F8": 50,
    "F9": 50,
    "F10": 30,
    "F11": 2,
    "F12": 300,
    "F13": 75,
    "F14": 50,
    "F15": 30,
    "F16": 125,
    "F17": 10,
    "F18": 20,
    "F19": 20,
    "F20": 20,
}
BOTH = {"flatbed": (("common", "flatbed"),), "both": (("common", "flatbed", "trailer"),), "trailer": (("common", "trailer"),), "off": ()}


def own_base(area: float, insulation: float, hottest: float) -> float:
    """The own base formula of our notes, N5. [A]"""
    return float(18 * area**0.645 * math.sqrt((insulation - hottest) / 75))


CARRIES = {name: own_base(area, insulation, PLACES[place]) for name, (area, insulation, place) in WIRES.items()}


def things(fuses: Mapping[str, object] = FUSES, joins: Mapping[str, object] = BOTH) -> list[Thing]:
    """All parts."""
    lfp: dict[str, object] = {"chemistry": "lithium iron phosphate", "place_of": "locker", "short_circuit_current": 5600}
    return [
        part("flatbed", "vehicle"),
        part("trailer", "vehicle"),
        *(
            part(name, "place", ambient=hot, vehicle_of="flatbed" if name in ("cab tray", "chassis rail", "lift box") else "trailer")
            for name, hot in PLACES.items()
        ),
        part("B1", "battery", chemistry="flooded lead-acid", place_of="cab tray"),
        part("B2", "battery", chemistry="AGM lead-acid", place_of="lift box"),
        part("T1", "battery", **lfp),
        part("T2", "battery", **lfp),
        part("ALT", "alternator", rated_output=140),
        part("D1", "converter", isolated=True, output_current_at_most=40),
        part("D2", "converter", isolated=True, output_current_at_most=10, runs="engine runs"),
        part("SOL", "solar-controller", isolated=False, output_current_at_most=35),
        part("SHR", "shore-charger", output_current_at_most=25),
        *(part(f"P{n}", "solar-array", short_current=10.3, strings_in_parallel=1) for n in (1, 2, 3)),
        part("lift", "load", place_of="lift box"),
        part("brakes", "load", place_of="chassis rail"),
        part("monitor", "load"),
        part("inverter", "inverter"),
        part("motor", "load"),
        part("pump", "load"),
        part("cabinet", "load"),
        part("lamps", "load", place_of="extraction room"),
        *(part(name, "fuse", rating=amps) for name, amps in fuses.items()),
        part("K1", "selector", dial=list(joins), joins=joins, changes="make before break"),
        part("K2", "switch"),
        part("R1", "relay", closed="engine runs"),
        part("solar switch", "switch", taken="on"),
        part("X1", "coupling", between=("flatbed", "trailer")),
        part("X3", "coupling", between=("flatbed", "trailer")),
        part("X2", "coupling", between=("flatbed", "trailer"), contacts=()),
        part("shunt", "shunt"),
        part("bank bar", "bus"),
        part("load bar", "bus"),
        part("box", "junction"),
        part("lamp block", "bus"),
        part("combiner", "bus"),
        part("truck chassis", "chassis"),
        part("trailer chassis", "chassis"),
        part("lift bar", "bus"),
        part("bank minus", "bus"),
        part("common bar", "bus", common_negative=True),
        part("box minus", "junction"),
    ]


POSITIVE = [
    "B1 positive, 0 mm, F1, W11 1.2 m, R1, W12 4.8 m, X1 flatbed positive",
    "X1 trailer positive, W21 4.5 m, D1 in positive",
    "ALT positive, Walt 1 m, B1 positive",
    "B1 positive, 0 mm, F2, W13 3 m, D2 in positive",
    "D2 out positive, W14 0.8 m, F3, 0 mm, B2 positive",
    "B2 positive, 0 mm, F4, W15 0.9 m, K1 flatbed",
    "K1 common, W16 1.2 m, lift positive",
    "K1 trailer, W17 4.2 m, X3 flatbed positive",
    "X3 trailer positive, W22 4 m, F16 load",
    "load bar, 0 mm, F16",
    "T1 positive, W23a 150 mm, F5, W23b 650 mm, bank bar",
    "T2 positive, W24a 185 mm, F6, W24b 615 mm, bank bar",
    "D1 out positive, W25a 150 mm, F7, W25b 1450 mm, bank bar",
    "SOL out positive, W26 1.2 m, F8, 0 mm, bank bar",
    "SHR out positive, W27 1.8 m, F9, 0 mm, bank bar",
    "bank bar, 0 mm, F10, W28 3.5 m, brakes positive",
    "bank bar, 0 mm, F11, W29 2 m, monitor positive",
    "bank bar, bar1 0.2 m, K2, bar2 0.2 m, load bar",
    "load bar, 0 mm, F12, W31 1.1 m, inverter positive",
    "load bar, 0 mm, F13, W32 3.5 m, box",
    "box, W33 1.5 m, motor positive",
    "box, W34 2.8 m, pump positive",
    "load bar, 0 mm, F14, W35 3.2 m, cabinet positive",
    "load bar, 0 mm, F15, W36 2.5 m, lamp block",
    "lamp block, 0 mm, F17, W37 6 m, lamps positive",
    "P1 positive, W41a 1.5 m, F18, 0 mm, combiner",
    "P2 positive, W41b 1.5 m, F19, 0 mm, combiner",
    "P3 positive, W41c 1.5 m, F20, 0 mm, combiner",
    "combiner, W42 4.5 m, solar switch, 0 mm, SOL in positive",
]
NEGATIVE = [
    "B1 negative, Wb1n 0.5 m, truck chassis",
    "ALT negative, Waltn 0.5 m, truck chassis",
    "D1 in negative, W21n 4.5 m, X1 trailer negative",
    "X1 flatbed negative, W12n 6 m, B1 negative",
    "D2 in negative, W13n 3 m, B1 negative",
    "D2 out negative, W14n 0.8 m, lift bar",
    "B2 negative, W15n 0.9 m, lift bar",
    "lift negative, W16n 1.2 m, lift bar",
    "X3 flatbed negative, W17n 4.2 m, lift bar",
    "X3 trailer negative, W22n 4 m, common bar",
    "T1 negative, W23n 0.8 m, bank minus",
    "T2 negative, W24n 0.8 m, bank minus",
    "bank minus, Wsn 0.2 m, shunt, Wsl 0.2 m, common bar",
    "D1 out negative, W25n 1.6 m, common bar",
    "SOL out negative, W26n 1.2 m, common bar",
    "SHR out negative, W27n 1.8 m, common bar",
    "brakes negative, W28n 3.5 m, common bar",
    "monitor negative, W29n 2 m, common bar",
    "inverter negative, W31n 1.1 m, common bar",
    "box minus, W32n 3.5 m, common bar",
    "motor negative, W33n 1.5 m, box minus",
    "pump negative, W34n 2.8 m, box minus",
    "cabinet negative, W35n 3.2 m, common bar",
    "lamps negative, W37n 8.5 m, common bar",
    "common bar, Wbond 0.6 m, trailer chassis",
    "P1 negative, W41an 1.5 m, SOL in negative",
    "P2 negative, W41bn 1.5 m, SOL in negative",
    "P3 negative, W41cn 1.5 m, SOL in negative",
]
TOGETHER, APART = ["X1 mated and X2 mated"], ["X3 mated and X1 parted"]


def rig(
    fuses: Mapping[str, object] = FUSES,
    joins: Mapping[str, object] = BOTH,
    routes: list[str] | None = None,
    complete: bool = True,
    extra: tuple[Thing, ...] = (),
) -> Circuit:
    """The rig, or a variant of it. Every wire's capacity is written as its rating, so that these tests stand on the wiring alone."""
    wires: dict[str, dict[str, object]] = {name: {"area": area * 1e-6} for name, (area, _, _) in WIRES.items()}
    wires["bar1"] = wires["bar2"] = {"area": 5e-4, "bar": True, "rated_current": 500}
    return circuit([*things(fuses, joins), *extra], routes or [*POSITIVE, *NEGATIVE], wires=wires, together=TOGETHER, apart=APART, complete=complete)


def with_capacity(made: Circuit, carries: Mapping[str, float] | None = None) -> Circuit:
    """The circuit with each wire's corrected capacity written in, as if stated."""
    limits = dict(CARRIES if carries is None else carries) | {"bar1": 500.0, "bar2": 500.0}
    elements = {}
    for name, element in made.elements.items():
        if element.kind == "conductor":
            facts = dict(element.properties)
            facts["corrected-capacity"] = known(limits.get(name, 1000.0))
            element = type(element)(element.name, element.kind, element.title, facts, element.at)
        elements[name] = element
    return type(made)(**{**made.__dict__, "elements": elements})
