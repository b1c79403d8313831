"""N13 to N17 and N21: banks, alternator, energy over a day, storage, gas and heat."""

from __future__ import annotations

# Gas current in A per 100 Ah: vented, valve-regulated, no voltage limit.
GAS_VENTED, GAS_VALVE, GAS_UNLIMITED = 2.0, 1.0, 6.0


def ladder_shares(total: float, battery: float, bridge: float, count: int) -> tuple[float, ...]:
    """Currents of equal batteries bridged post to post, loads at the first; nearest first. [A]

    Args:
        total: Current drawn. [A]
        battery: Internal resistance of each. [Ω]
        bridge: From one to the next, out and back. [Ω]
        count: Batteries.

    Source:
        Kirchhoff, worked from the far end.

    Holds for:
        Equal batteries at one state of charge.
    """
    volts, flow, shares = -battery, 1.0, [1.0]
    for _ in range(count - 1):
        volts -= flow * bridge
        shares.append(-volts / battery)
        flow += shares[-1]
    return tuple(total * share / flow for share in reversed(shares))


def closing_current(difference: float, resistance: float) -> float:
    """Current when two batteries are joined: (U1 − U2)/(R1 + R2 + R_link). [A]

    Args:
        difference: Of their rest voltages. [V]
        resistance: Round the whole loop. [Ω]

    Source:
        Ohm's law.

    Holds for:
        The first moment.
    """
    return difference / resistance


def alternator_allowed(rated: float, share: float) -> float:
    """Current an alternator may be asked for. [A]

    Args:
        rated: Catalogue rating, cold. [A]
        share: 0.5, 0.6 (default) or 0.8 with temperature control; hot 0.75 at cruise and 0.5 at idle is what it can give. [1]

    Source:
        Trade figures, `sources_and_thresholds.yaml`.

    Holds for:
        Steady running.
    """
    return rated * share


def energy(power: float, hours: float) -> float:
    """Energy. [J]

    Args:
        power: [W]
        hours: [h]

    Source:
        W = P·t.

    Holds for:
        Steady power.
    """
    return power * hours * 3600


def solar_yield(power: float, sun_hours: float, performance: float) -> float:
    """Solar energy of a day: P·hours·PR. [J]

    Args:
        power: Peak power of the array. [W]
        sun_hours: Hours of full sun. [h]
        performance: Performance ratio; 0.70 for a flat roof. [1]

    Source:
        Trade practice.

    Holds for:
        A season's mean, not a given day.
    """
    return energy(power * performance, sun_hours)


def days_lasting(usable: float, used: float, gained: float = 0.0) -> float:
    """Days a store lasts: usable/(used − gained); inf when it gains. [1]

    Args:
        usable: Energy that may be taken. [J]
        used: Per day. [J]
        gained: Per day. [J]

    Source:
        Balance.

    Holds for:
        Equal days.
    """
    return usable / (used - gained) if used > gained else float("inf")


def storage_days(allowed: float, standby: float, capacity: float = 0.0, self_discharge: float = 0.0) -> float:
    """Days until a stored battery reaches its lowest allowed charge: q/(I·24 + Ah·sd/30). [1]

    Args:
        allowed: Charge that may be lost. [C]
        standby: Standing current. [A]
        capacity: Rated capacity, for its own loss. [C]
        self_discharge: Share lost per month of 30 days. [1]

    Source:
        Balance.

    Holds for:
        Mild temperatures.
    """
    return allowed / (standby * 86400 + capacity * self_discharge / 30)


def hydrogen(cells: float, gas_current: float, capacity: float) -> float:
    """Air flow a charging lead battery needs: 0.05·n·Igas·Ah/100. [m³/h]

    Args:
        cells: In series. [1]
        gas_current: A per 100 Ah: vented 2, valve-regulated 1, no voltage limit 6.
        capacity: Rated capacity. [C]

    Source:
        EN 62485-2, with its safety factor of five.

    Holds for:
        Lead-acid.
    """
    return 0.05 * cells * gas_current * capacity / 3600 / 100


def vent_opening(air_flow: float) -> float:
    """Area of each of two openings, low and high: 28 cm² per m³/h. [m²]

    Args:
        air_flow: [m³/h]

    Source:
        EN 62485-2.

    Holds for:
        Natural draught.
    """
    return 28e-4 * air_flow


def loss(efficiency: float, output: float) -> float:
    """Heat of a converter: (1/η − 1)·P. [W]

    Args:
        efficiency: Output over input. [1]
        output: Output power. [W]

    Source:
        Energy balance.

    Holds for:
        Full output.
    """
    return (1 / efficiency - 1) * output


def joint_heat(current: float, resistance: float) -> float:
    """Heat of a joint: I²·R. [W]

    Args:
        current: [A]
        resistance: [Ω]

    Source:
        Joule.

    Holds for:
        Direct current.
    """
    return current * current * resistance


def thin_share(current: float, main: float, other: float) -> float:
    """N18: part of a current that takes the other of two ways back: I·R_main/(R_main + R_other). [A]

    Args:
        current: Whole current. [A]
        main: Resistance of the main way. [Ω]
        other: Resistance of the other way. [Ω]

    Source:
        Current divider.

    Holds for:
        Two ways only.
    """
    return current * main / (main + other)
