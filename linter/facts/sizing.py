"""The smallest standard conductor for a run: heat, the fuse that has to fit, and drop; which of them decides, and what the next size buys.

Nothing is guessed: a needed figure that is missing is named, and no size is given. Ranges count with the end that asks for more copper.
"""

from __future__ import annotations

from dataclasses import dataclass

from linter.base.values import INF, Range
from linter.facts.capacity import OWN, base_capacity
from linter.facts.formulas import capacity, copper, drop, faults
from linter.facts.formulas.tables import fuse_series, metric_sizes
from linter.facts.resistance import LUG, fuse_resistance
from linter.units.size import awg_area

# Gauges people can buy, thin to thick.
GAUGES = ("20", "18", "16", "14", "12", "10", "8", "6", "4", "2", "1", "1/0", "2/0", "3/0", "4/0")
# Share of what the heat leaves of a fuse's rating that a lasting load may take; lugs counted on a run out and back; multiple a far-end short should reach.
FUSE_LOAD = 0.75
LUGS = 4
FAR_END = 3.5
_SAME = 1 + 1e-9
RULES = {"heat": "the current it has to carry in the heat", "fuse": "the smallest fuse that carries the load must not exceed what the wire carries",
         "drop": "the volts it may lose", "awake": "the converter it feeds must keep volts enough to stay awake"}


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a run has to do. Ranges in SI; None where it does not apply.

    Attributes:
        current: Worst steady current. [A]
        length: One way. [m]
        insulation: Temperature class of insulation, or of its terminals where that is lower. [°C]
        ambient: Hottest place it passes. [°C]
        fuse_ambient: Hottest place of the fuse. [°C]
        bundled: Loaded conductors together.
        buried: Length in foam. [m]
        allowed: Volts it may lose out and back; None: no drop is asked for. [V]
        voltage: Nominal. [V]
        family: Of the fuse; "" for any.
        source: Short-circuit current where it starts; None if not asked. [A]
        ladder: How capacity is found.
        metal: Resistance over copper, and capacity over copper.
        awake: Least area that keeps the converters it feeds awake; None if it feeds none. [m²]
    """

    current: Range
    length: Range
    insulation: Range
    ambient: Range
    fuse_ambient: Range
    bundled: float
    buried: float
    allowed: float | None
    voltage: Range
    family: str = ""
    source: Range | None = None
    ladder: str = OWN
    metal: tuple[float, float] = (1.0, 1.0)
    awake: float | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """One standard size and what it does.

    Attributes:
        name: "10 mm²", "8 AWG".
        area: [m²]
        carries: Corrected capacity. [A]
        lost: Volts lost out and back. [V]
        fuses: Standard ratings of the family between load side and wire side. [A]
        passes: Rule to whether it is kept.
        far_end: Smallest fault at its far end over the smallest of those fuses; None where the source was not told.
    """

    name: str
    area: float
    carries: float
    lost: float
    fuses: tuple[float, ...]
    passes: dict[str, bool]
    far_end: float | None = None


@dataclass(frozen=True, slots=True)
class Sizing:
    """What was found for a run.

    Attributes:
        wanted: What was asked.
        load_side: Least rating that carries the load for long. [A]
        chosen: Smallest size that keeps every rule, per system; a system without one is left out.
        next_up: The size after it, per system.
        needed: Rule to the smallest size that keeps that rule alone, per system; "" where none does.
        binds: Per system the rule that decides.
        breaks: What the family breaks and at which voltage, where its makers' figures are usual. [A, V]
        notes: What else is to be said.
    """

    wanted: Wanted
    load_side: float
    chosen: dict[str, Choice]
    next_up: dict[str, Choice]
    needed: dict[str, dict[str, str]]
    binds: dict[str, str]
    breaks: tuple[float, float] | None
    notes: tuple[str, ...]


def ladder_of(system: str) -> tuple[tuple[str, float], ...]:
    """Standard sizes of a system ("mm²" or "AWG"), thin to thick. [m²]"""
    if system == "mm²":
        return tuple((f"{area * 1e6:g} mm²", area) for area in metric_sizes() if area <= capacity.THICKEST * _SAME)
    return tuple((f"{gauge} AWG", awg_area(gauge)) for gauge in GAUGES)


def load_side(wanted: Wanted) -> float:
    """Least fuse rating: current over 0.75 and over what the heat leaves. [A]"""
    return wanted.current.high / (FUSE_LOAD * capacity.fuse_heat_factor(max(25.0, wanted.fuse_ambient.high)))


def judge(wanted: Wanted, name: str, area: float) -> Choice | None:
    """What one size does; None where the way of finding capacity does not hold for it."""
    base, _ = base_capacity(wanted.ladder, Range(area, area), wanted.insulation, wanted.ambient)
    if base is None:
        return None
    carries = capacity.corrected(base.low, capacity.bundle_factor(wanted.bundled), capacity.buried_factor(wanted.buried)) * wanted.metal[1]
    least = load_side(wanted)
    series = fuse_series(wanted.family)
    fuses = tuple(r for r in series if r >= least / _SAME and r <= carries * _SAME)
    fits = bool(fuses) if series else least <= carries * _SAME
    warm = drop.warm_copper(wanted.ambient.high, wanted.insulation.high if wanted.insulation.high < INF else 105.0)
    fuse = fuse_resistance(frozenset({wanted.family}), Range(fuses[0], fuses[0])).high if fuses and wanted.family else 0.0
    loop = copper.out_and_back(wanted.length.high, area, warm) * wanted.metal[0] + LUGS * LUG + fuse
    lost = drop.drop(wanted.current.high, loop)
    passes = {"heat": wanted.current.high <= carries * _SAME, "fuse": fits}
    if wanted.allowed is not None:
        passes["drop"] = lost <= wanted.allowed * _SAME
    if wanted.awake is not None:
        passes["awake"] = area >= wanted.awake / _SAME
    far_end = None
    if wanted.source is not None and wanted.source.low > 0 and fuses:
        worn = faults.WORN * wanted.voltage.low / wanted.source.low
        hot = copper.out_and_back(wanted.length.high, area, 70.0) * wanted.metal[0] + LUGS * LUG + fuse
        far_end = faults.fault_current(11.5 * wanted.voltage.low / 12, worn + hot) / fuses[0]
    return Choice(name, area, carries, lost, fuses, passes, far_end)


def size(wanted: Wanted) -> Sizing:
    """The smallest standard conductors that keep every rule."""
    chosen: dict[str, Choice] = {}
    next_up: dict[str, Choice] = {}
    needed: dict[str, dict[str, str]] = {}
    binds: dict[str, str] = {}
    rules = [r for r in RULES if (r != "drop" or wanted.allowed is not None) and (r != "awake" or wanted.awake is not None)]
    for system in ("mm²", "AWG"):
        judged = [c for name, area in ladder_of(system) if (c := judge(wanted, name, area)) is not None]
        first = {rule: next((k for k, c in enumerate(judged) if c.passes[rule]), len(judged)) for rule in rules}
        needed[system] = {rule: judged[k].name if k < len(judged) else "" for rule, k in first.items()}
        at = next((k for k, c in enumerate(judged) if all(c.passes.values())), None)
        # Of two rules that ask for the same size, the first named stands for both.
        binds[system] = max(rules, key=lambda rule: (first[rule], -rules.index(rule)))
        if at is not None:
            chosen[system] = judged[at]
            if at + 1 < len(judged):
                next_up[system] = judged[at + 1]
    notes = []
    breaks = fuse_breaking(wanted.family)
    if wanted.source is not None and breaks is not None and wanted.source.high > breaks[0]:
        notes.append(f"The source pushes up to {wanted.source.high / 1000:.1f} kA into a dead short; a {wanted.family} usually breaks "
                     f"{breaks[0] / 1000:g} kA at {breaks[1]:g} V. Use a family that breaks more, or reckon the short at the fuse, behind its leads.")
    for choice in chosen.values():
        if choice.far_end is not None and choice.far_end < FAR_END:
            notes.append(f"A dead short at the far end of {choice.name} drives {choice.far_end:.1f} times the fuse; {FAR_END:g} times is wanted for it "
                         "to open at once.")
    return Sizing(wanted, load_side(wanted), chosen, next_up, needed, binds, breaks, tuple(notes))


def fuse_breaking(family: str) -> tuple[float, float] | None:
    """What a family usually breaks, and at which voltage; None for a family not tabled. [A, V]"""
    from linter.facts.formulas.tables import fuse_breaks  # one table, two questions

    return fuse_breaks(family)
