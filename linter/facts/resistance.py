"""Resistance of conductors, joints, devices and batteries, each as a range: what every current and drop rests on.

Low ends serve the largest fault and the worst current (cold copper, new contacts), high ends the smallest fault and the drop.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts.formulas import copper, faults
from linter.facts.registry import fact

if TYPE_CHECKING:
    from linter.facts.book import Book

# Ohms, if nothing is known of the device itself (analyses, conventions).
LUG = 0.05e-3
CLASS_T = 0.15e-3
BLADE = 3e-3
CONTACT = 0.2e-3
SWITCH = 0.2e-3
# A selector has 0.2 mΩ from stud to stud by way of its common one: half of it each contact.
SELECTOR_CONTACT = 0.1e-3
ISOLATOR = 0.1e-3
RELAY = 0.3e-3
SHUNT = 0.1e-3
KNIFE_BLADE = 0.3e-3
# Small cartridge and tube fuses: a wide range, for want of a figure.
CARTRIDGE = Range(1e-3, 10e-3)
BOLTED = ("terminal cube", "large strip", "small strip", "flat limiter")
BLADES = ("standard blade", "mini blade", "large blade")
# Greatest excess of a class 5 core over 17.241/A (the metric table), for areas that are not known exactly.
CLASS5_EXCESS = 1.16
# Resistance over copper of the same area.
METALS = {"copper": 1.0, "tinned copper": 1.0, "clad aluminium": copper.CLAD_RESISTANCE, "aluminium": 28.264 / 17.241}


def metal_factor(book: Book, conductor: str) -> Range:
    """Resistance over that of copper of the same area; wide when the metal is not known."""
    factors = [METALS[m] for m in book.words("material", conductor) if m in METALS] or list(METALS.values())
    return Range(min(factors), max(factors))


@fact("area", "conductor")
def area_of(book: Book, conductor: str) -> Reading:
    """Copper area; the description writes it beside the size."""
    return book.open("area", conductor, "its size is not stated", wants={FactRef(conductor, "size")})


def per_metre(area: Range, temperature: Range) -> Range:
    """Resistance per metre for a range of areas and temperatures. [Ω/m]"""
    if area.known and area.low > 0:
        return Range(copper.per_metre(area.low, temperature.low), copper.per_metre(area.low, temperature.high))
    low = 0.0 if area.high == INF else copper.RHO_COPPER_20 / area.high * copper.warmed(temperature.low)
    high = INF if area.low <= 0 else CLASS5_EXCESS * copper.RHO_COPPER_20 / area.low * copper.warmed(temperature.high)
    return Range(low, high)


def conductor_resistance(book: Book, conductor: str, temperature: Range) -> tuple[Range, frozenset[FactRef]]:
    """One conductor without its lugs, and the facts that would narrow it. [Ω]"""
    length = book.quantity("length", conductor)
    area_reading = book.reading("area", conductor)
    area = area_reading.value if isinstance(area_reading.value, Range) else Range(0.0, INF)
    metal = metal_factor(book, conductor)
    each = per_metre(area, temperature)
    low = max(0.0, length.low) * each.low * metal.low
    high = 0.0 if length.high == 0 else INF if INF in (length.high, each.high) else length.high * each.high * metal.high
    wants: set[FactRef] = set()
    if not length.known:
        wants.add(FactRef(conductor, "length"))
    if not area.known:
        wants.add(FactRef(conductor, "size"))
    if not metal.known:
        wants.add(FactRef(conductor, "material"))
    return Range(low, high), frozenset(wants)


def is_bar(book: Book, conductor: str) -> bool:
    """A copper bar: bolted flat, no lugs."""
    return book.truth_of("bar", conductor) is Truth.YES


def fuse_resistance(families: frozenset[str], rating: Range) -> Range:
    """A fuse by family and rating, terminal to terminal. [Ω]"""
    parts: list[Range] = []
    for family in families or frozenset({"class T", *BOLTED, *BLADES, "cartridge"}):
        if family == "class T":
            parts.append(Range(CLASS_T, CLASS_T))
        elif family in BOLTED:
            low = bolted(rating.high)
            parts.append(Range(low, bolted(rating.low)))
        elif family in BLADES:
            parts.append(Range(BLADE, BLADE))
        elif family == "knife blade":
            parts.append(Range(KNIFE_BLADE, KNIFE_BLADE))
        else:
            parts.append(CARTRIDGE)
    return Range(min(p.low for p in parts), max(p.high for p in parts))


def bolted(rating: float) -> float:
    """A bolted cube or strip: 1.0 mΩ up to 40 A, 0.6 up to 75 A, 0.4 above. [Ω]"""
    return 1.0e-3 if rating <= 40 else 0.6e-3 if rating <= 75 else 0.4e-3


def device_resistance(book: Book, element: str) -> tuple[Range, frozenset[FactRef]]:
    """A device in a wire, and the facts that would narrow it. [Ω]"""

    def make() -> tuple[Range, frozenset[FactRef]]:
        kind = book.kind_of(element)
        if book.is_a(element, "fuse"):
            families = book.words("family", element)
            found = fuse_resistance(families, book.quantity("rating", element))
            wants = set() if families else {FactRef(element, "family")}
            if not found.known and not book.quantity("rating", element).known:
                wants.add(FactRef(element, "rating"))
            return found, frozenset(wants)
        if book.is_a(element, "breaker"):
            return Range(0.4e-3, 5e-3), frozenset()
        if kind == "switch":
            isolator = book.truth_of("isolator", element)
            if isolator is Truth.UNKNOWN:
                return Range(ISOLATOR, SWITCH), frozenset({FactRef(element, "isolator")})
            return _exactly(ISOLATOR if isolator is Truth.YES else SWITCH), frozenset()
        if kind == "coupling":
            # Not stated: a contact as new. A worn one (1.0 mΩ) would take the rig's own margins: 10.16 V at the starting lift becomes 9.90 V of
            # 10.0 V asked, and 3.50 times F4 becomes 3.3. Whoever measures a worn contact writes it down, and every sum follows.
            stated = book.reading("contact-resistance", element)
            if stated.gap is None and isinstance(stated.value, Range):
                return stated.value, stated.wants
        plain = {"selector": SELECTOR_CONTACT, "relay": RELAY, "coupling": CONTACT, "shunt": SHUNT}
        return _exactly(plain.get(kind, 0.0)), frozenset()

    return book.memo(("device-resistance", element), make)


def _exactly(value: float) -> Range:
    return Range(value, value)


def lugs(book: Book, conductor: str) -> float:
    """Lugs at the two ends of a conductor. [Ω]

    None on a bar. None at a fuse or breaker with a conductor on each of its sides: its figure is taken between the two lugs.
    """

    def make() -> float:
        if is_bar(book, conductor):
            return 0.0
        network = book.network
        found = 0.0
        for number in network.of.get(conductor, ()):
            edge = network.edges[number]
            for terminal in (edge.a, edge.b):
                owner = network.owner(terminal)
                if not (book.is_a(owner, "protection") and _in_line(book, owner)):
                    found += LUG
        return found

    return book.memo(("lugs", conductor), make)


def _in_line(book: Book, device: str) -> bool:
    def make() -> bool:
        network = book.network
        return all(any(book.is_a(network.edges[n].element, "conductor") for n, _ in network.at.get(t, ())) for t in network.own(device))

    return book.memo(("in-line", device), make)


def edge_resistance(book: Book, number: int, temperature: Range, *, bars: bool = False) -> tuple[Range, frozenset[FactRef]]:
    """One edge of the network: a conductor with its lugs, or a device. [Ω]

    Args:
        book: Of facts.
        number: Edge.
        temperature: Of the copper. [°C]
        bars: Whether bars count; for faults and worst currents they count as nothing, which is the safe side and far below a lug.
    """
    edge = book.network.edges[number]
    element = edge.element
    if edge.kind == "joint":
        return Range(0.0, 0.0), frozenset()
    if book.is_a(element, "conductor"):
        if is_bar(book, element) and not bars:
            return Range(0.0, 0.0), frozenset()
        found, wants = conductor_resistance(book, element, temperature)
        joints = lugs(book, element)
        return Range(found.low + joints, found.high + joints), wants
    return device_resistance(book, element)


# ---- batteries ----------------------------------------------------------------------------------------------------------------------

# Volts per 12 V of nominal voltage between which any battery rests when full, and the least at which anybody would still use one.
REST_WHEN_FULL = {"flooded lead-acid": Range(12.6, 12.9), "AGM lead-acid": Range(12.7, 13.1), "gel lead-acid": Range(12.7, 13.0),
                  "lithium iron phosphate": Range(13.2, 13.7)}
REST_ANY = Range(12.0, 16.8)
FLOOR_ANY = Range(10.0, 13.0)


def nominal(book: Book, element: str) -> Range:
    """Nominal voltage of a part: its own, else the system's. [V]"""
    own = book.reading("nominal-voltage", element)
    if isinstance(own.value, Range) and own.gap is None:
        return own.value
    return book.quantity("system-voltage", "")


def blocs(book: Book, battery: str) -> Range:
    """Nominal voltage in units of 12 V; 1 to 4 when not known. [1]"""
    volts = nominal(book, battery)
    low = volts.low / 12 if volts.low > 0 else 1.0
    return Range(low, volts.high / 12 if volts.high < INF else max(4.0, low))


def rest_voltage(book: Book, battery: str) -> Range:
    """Rest voltage when full; a believed range when not stated. [V]"""
    stated = book.reading("rest-voltage", battery)
    if stated.gap is None and isinstance(stated.value, Range):
        return stated.value
    words = book.words("chemistry", battery)
    parts = [REST_WHEN_FULL.get(w, REST_ANY) for w in words] or [REST_ANY]
    times = blocs(book, battery)
    return Range(min(p.low for p in parts) * times.low, max(p.high for p in parts) * times.high)


def floor_voltage(book: Book, battery: str) -> Range:
    """Lowest voltage at which it is used; a believed range when not stated. [V]"""
    stated = book.reading("floor-voltage", battery)
    if stated.gap is None and isinstance(stated.value, Range):
        return stated.value
    times = blocs(book, battery)
    return Range(FLOOR_ANY.low * times.low, FLOOR_ANY.high * times.high)


def short_current(book: Book, battery: str) -> tuple[Range, frozenset[FactRef]]:
    """Short-circuit current at the posts, new and warm, electronics left out, and the fact that would settle it. [A]"""

    def make() -> tuple[Range, frozenset[FactRef]]:
        ref = FactRef(battery, "short-circuit-current")
        stated = book.reading("short-circuit-current", battery)
        if stated.gap is None and isinstance(stated.value, Range):
            return stated.value, frozenset() if stated.value.known else frozenset({ref})
        capacity = book.quantity("capacity", battery)
        chemistries = book.words("chemistry", battery)
        planned = [faults.PLANNING[c] for c in chemistries if c in faults.PLANNING] or list(faults.PLANNING.values())
        low = faults.planned_current(capacity.low, min(p[0] for p in planned))
        high = INF if capacity.high == INF else faults.planned_current(capacity.high, max(p[1] for p in planned))
        wants = {ref}
        if not capacity.known:
            wants.add(FactRef(battery, "capacity"))
        if not chemistries:
            wants.add(FactRef(battery, "chemistry"))
        cranking = book.reading("cranking-current", battery)
        if cranking.gap is None and isinstance(cranking.value, Range) and cranking.value.high > 0:
            # Either way of reckoning may be the larger; the larger counts.
            times = blocs(book, battery)
            high = max(high, faults.fault_current(12.8 * times.high, faults.cranking_resistance(cranking.value.high) * times.low))
            if cranking.value.low > 0:
                # At -18 °C it has twice the resistance of a warm one: a fresh battery gives at least half.
                low = max(low, faults.fault_current(12.8, 2 * faults.cranking_resistance(cranking.value.low)))
        return Range(low, high), frozenset(wants)

    return book.memo(("short-current", battery), make)


def fault_voltage(book: Book, battery: str) -> Range:
    """Voltage a short-circuit current goes with: full and fresh off the charger. [V]

    12.8 V per 12 V of lead, 13.6 V of iron phosphate (the rig's figures); the believed range otherwise.
    """
    times = blocs(book, battery)
    parts = []
    for word in book.words("chemistry", battery) or frozenset({"other"}):
        volts = 13.6 if word == "lithium iron phosphate" else 12.8 if word.endswith("lead-acid") else None
        parts.append(Range(12.8, 16.8) if volts is None else Range(volts, volts))
    return Range(min(p.low for p in parts) * times.low, max(p.high for p in parts) * times.high)


def lowest_resistance(book: Book, battery: str) -> tuple[Range, frozenset[FactRef]]:
    """Internal resistance of the fresh, warm battery: a range when its short-circuit current is not stated. [Ω]"""
    current, wants = short_current(book, battery)
    volts = fault_voltage(book, battery)
    low = 0.0 if current.high == INF else volts.low / current.high if current.high > 0 else INF
    high = INF if current.low <= 0 else volts.high / current.low
    return Range(low, high), wants


def highest_resistance(book: Book, battery: str) -> tuple[Range, frozenset[FactRef]]:
    """Internal resistance of the worn, cold battery: measured, else between the fresh one's and three times that. [Ω]

    With no short-circuit current stated, three times the lowest that planning allows, which holds the fresh range as well.
    """
    measured = book.reading("internal-resistance", battery)
    if measured.gap is None and isinstance(measured.value, Range):
        return measured.value, frozenset() if measured.value.known else frozenset({FactRef(battery, "internal-resistance")})
    fresh, wants = lowest_resistance(book, battery)
    stated = book.reading("short-circuit-current", battery)
    high = fresh.high * faults.WORN if stated.gap is None else max(fresh.high, fresh.low * faults.WORN)
    return Range(fresh.low, high), wants | {FactRef(battery, "internal-resistance")}
