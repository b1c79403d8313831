"""Dimensions: what may be compared with and added to what."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Dimension:
    """Exponents of kg, m, s, A and K. `level` marks a thermometer reading, held in °C, which only takes differences."""

    kg: int = 0
    m: int = 0
    s: int = 0
    ampere: int = 0
    kelvin: int = 0
    level: bool = False

    def times(self, other: Dimension) -> Dimension:
        """Dimension of a product."""
        return Dimension(self.kg + other.kg, self.m + other.m, self.s + other.s, self.ampere + other.ampere, self.kelvin + other.kelvin)

    def over(self, other: Dimension) -> Dimension:
        """Dimension of a quotient."""
        return Dimension(self.kg - other.kg, self.m - other.m, self.s - other.s, self.ampere - other.ampere, self.kelvin - other.kelvin)


NUMBER = Dimension()
LENGTH = Dimension(m=1)
AREA = Dimension(m=2)
VOLUME_FLOW = Dimension(m=3, s=-1)
TIME = Dimension(s=1)
RATE = Dimension(s=-1)
CURRENT = Dimension(ampere=1)
VOLTAGE = Dimension(kg=1, m=2, s=-3, ampere=-1)
RESISTANCE = Dimension(kg=1, m=2, s=-3, ampere=-2)
CHARGE = Dimension(s=1, ampere=1)
POWER = Dimension(kg=1, m=2, s=-3)
ENERGY = Dimension(kg=1, m=2, s=-2)
CAPACITANCE = Dimension(kg=-1, m=-2, s=4, ampere=2)
MASS = Dimension(kg=1)
FORCE = Dimension(kg=1, m=1, s=-2)
TORQUE = Dimension(kg=1, m=2, s=-2)
TEMPERATURE = Dimension(kelvin=1, level=True)
RISE = Dimension(kelvin=1)
PER_KELVIN = Dimension(kelvin=-1)
MELTING = Dimension(s=1, ampere=2)
COMPENSATION = VOLTAGE.over(RISE)

# Names as the vocabulary table and messages use them. Torque and energy share a dimension; that is physics, not a slip.
NAMED: dict[str, Dimension] = {
    "number": NUMBER, "share": NUMBER, "length": LENGTH, "area": AREA, "time": TIME, "rate": RATE, "current": CURRENT,
    "voltage": VOLTAGE, "resistance": RESISTANCE, "charge": CHARGE, "power": POWER, "energy": ENERGY, "capacitance": CAPACITANCE,
    "mass": MASS, "force": FORCE, "torque": TORQUE, "temperature": TEMPERATURE, "rise": RISE, "per-kelvin": PER_KELVIN,
    "melting": MELTING, "compensation": COMPENSATION, "air-flow": VOLUME_FLOW,
}
_SAID = {
    NUMBER: "a plain number", LENGTH: "a length, in metre", AREA: "a cross-section, in mm²", TIME: "a time, in second",
    RATE: "a charge rate, in C-rate", CURRENT: "a current, in ampere", VOLTAGE: "a voltage, in volt", RESISTANCE: "a resistance, in ohm",
    CHARGE: "a capacity, in Ah", POWER: "a power, in watt", ENERGY: "an energy, in Wh", CAPACITANCE: "a capacitance, in farad",
    MASS: "a mass, in kg", FORCE: "a force, in newton", TEMPERATURE: "a temperature, in °C", RISE: "a difference of temperatures, in K",
    PER_KELVIN: "a temperature coefficient, in %/K", MELTING: "a melting energy, in A²s", COMPENSATION: "a compensation, in mV/K",
    VOLUME_FLOW: "an air flow, in m³/h",
}


def said(dimension: Dimension) -> str:
    """A dimension in words, for a message."""
    return _SAID.get(dimension, "a quantity with no everyday name")
