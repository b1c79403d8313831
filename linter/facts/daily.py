"""N16 and N17: energy over a day by season, days in reserve, and how long a bank may stand."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range, divided_by, minus, plus, times
from linter.facts import resistance
from linter.facts.drop import ways_to_bars
from linter.facts.formulas import storage
from linter.facts.registry import fact
from linter.facts.saying import amps, known_inputs, number, times_said, watt_hours
from linter.facts.trunks import mates
from linter.facts.worked import uses_of, wants_of, worked
from linter.units.dimension import CHARGE
from linter.units.table import write_range

if TYPE_CHECKING:
    from linter.facts.book import Book

NOTHING = Range(0.0, 0.0)
DAY = 86400.0


class _Sum:
    """A sum of ranges that remembers what it is of."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.total = NOTHING
        self.parts: list[tuple[str, Range]] = []
        self.wants: set[FactRef] = set(book.open_wiring)
        self.uses: set[FactRef] = set()
        self.refs: dict[FactRef, Range] = {}

    def read(self, word: str, element: str) -> Range:
        """A quantity, remembered as an input."""
        reading = self.book.reading(word, element)
        value = reading.value if isinstance(reading.value, Range) else Range(0.0, INF)
        self.wants |= reading.wants
        self.uses |= reading.uses
        self.refs[FactRef(element, word)] = value
        return value

    def add(self, name: str, value: Range) -> None:
        """One more part."""
        self.total = plus(self.total, value)
        if value.high > 0:
            self.parts.append((name, value))

    def said(self, write: Callable[[Range], str]) -> str:
        """The sum in words."""
        return " + ".join(f"{name} {write(value)}" for name, value in self.parts) or "nothing"


def _at_work(book: Book, battery: str) -> Range:
    """Volts at which its charge is counted as energy: its voltage in use, else anything from its floor to full. [V]"""
    usual = book.reading("usual-voltage", battery)
    if usual.gap is None and isinstance(usual.value, Range):
        return usual.value
    floor, rest = resistance.floor_voltage(book, battery), resistance.rest_voltage(book, battery)
    return Range(min(floor.low, rest.low), max(floor.high, rest.high))


def _feeds(book: Book, group: tuple[str, ...], load: str) -> tuple[bool, bool]:
    """Whether a bank may feed a load, and whether it alone does. What meets the bank only while an alternator runs for both lives on the alternator."""
    maybe, surely = _without_alternator(book, group, load)
    mine = maybe and any(ways_to_bars(book, load, b, "positive") for b in group)
    others = any(ways_to_bars(book, load, b, "positive") for b in book.network.batteries if b not in group)
    return mine, mine and surely and not others


def _without_alternator(book: Book, group: tuple[str, ...], load: str) -> tuple[bool, bool]:
    """Whether in some state a bank may reach a load that no running alternator surely reaches, and whether it surely does in one where none may."""
    entry = book.network.terminal(load, "positive")
    if entry is None:
        return True, True
    posts = [post for b in group if (post := book.network.output(b)) is not None]
    loose = tight = book.nothing
    for post in posts:
        loose, tight = loose | book.reach.between(post, entry, sure=False), tight | book.reach.between(post, entry, sure=True)
    for alternator in book.members("alternator"):
        output = book.network.output(alternator)
        if output is not None:
            loose = book.without(loose, book.reach.between(output, entry, sure=True) & book.reach.awake(alternator, sure=True))
            tight = book.without(tight, book.reach.between(output, entry, sure=False) & book.reach.awake(alternator, sure=False))
    return loose != book.nothing, tight != book.nothing


@fact("standing-current", "battery")
def standing_current(book: Book, battery: str) -> Reading:
    """What stays connected draws when idle: stated standby currents of all that may be joined with its bank, the monitor's supply included. [A]

    Chargers, inverters and batteries with electronics are asked for theirs. A plain load that is off draws nothing unless it was stated; one that
    runs all day, such as an alarm, is never off, and draws up to its current.
    """
    group = mates(book, battery)
    found = _Sum(book)
    for name in book.members("part"):
        terminal = book.network.terminal(name, "out positive") or book.network.terminal(name, "positive")
        if terminal is None:
            continue
        posts = [p for b in group if (p := book.network.output(b)) is not None]
        maybe = name in group or any(book.reach.between(p, terminal, sure=False) != book.nothing for p in posts)
        always = name in group or any(book.reach.between(p, terminal, sure=True) == book.everything for p in posts)
        if not maybe or (book.is_a(name, "battery") and name not in group):
            continue
        if book.is_a(name, "load") and not _feeds(book, group, name)[0]:
            continue
        stated = book.reading("standby-current", name)
        own = book.is_a(name, "charger") or book.is_a(name,
                                                      "inverter") or (book.is_a(name, "battery") and book.truth_of("management-system", name) is Truth.YES)
        if stated.gap is None or own:
            value = found.read("standby-current", name)
        elif book.is_a(name, "load") and book.truth_of("monitor-supply", name) is Truth.YES:
            value = found.read("current", name)
        elif book.is_a(name, "load") and book.reading("hours-a-day", name).gap is None and book.quantity("hours-a-day", name).high > 0.99 * DAY:
            value = Range(0.0, book.quantity("current", name).high)
            found.wants |= stated.wants
        else:
            continue
        found.add(name, value if always else Range(0.0, value.high))

    def working() -> tuple[Step, ...]:
        return (Step(f"standing current of the bank of {battery}", "sum of standby currents of what stays connected",
                     f"{found.said(amps)} = {amps(found.total)}",
                     "Kirchhoff's current law", known_inputs(book, found.refs)),)

    return worked(found.total if book.wiring_complete else Range(found.total.low, INF), wants=found.wants, uses=found.uses, working=working)


@fact("storage-days", "battery")
def storage_days(book: Book, battery: str) -> Reading:
    """How long its bank may stand: (from − to)·Ah over standing current and its own loss. [s]"""
    group = mates(book, battery)
    found = _Sum(book)
    standing = found.read("standing-current", battery)
    begin, end, own = found.read("stored-from", battery), found.read("stored-to", battery), found.read("self-discharge", battery)
    size = NOTHING
    for one in group:
        size = plus(size, found.read("capacity", one))
    share = Range(max(0.0, begin.low - end.high) if end.high < INF else 0.0, max(0.0, min(1.0, begin.high) - end.low))
    allowed = times(share, size)
    drain = plus(standing, Range(size.low * own.low / (30 * DAY), INF if INF in (size.high, own.high) else size.high * own.high / (30 * DAY)))
    value = Range(0.0 if drain.high == INF or drain.high <= 0 else allowed.low / drain.high, INF if drain.low <= 0 else allowed.high / drain.low)
    if size.known and drain.high > 0:
        # The same capacity stands above and below the line.
        worst = standing.high + size.high * own.high / (30 * DAY)
        value = Range(0.0 if worst == INF else allowed.low / worst, value.high)

    def working() -> tuple[Step, ...]:
        return (Step(f"how long the bank of {battery} may stand", "(share from − share to) × Ah / (standing current × 24 h + Ah × own loss / 30 days)",
                     f"{number(share)} × {write_range(size, CHARGE)} / ({amps(standing)} and {number(own)} a month) = {times_said(value)}", "balance",
                     known_inputs(book, found.refs)),)

    return worked(value, wants=found.wants, uses=found.uses, through=group, working=working)


# ---- a day --------------------------------------------------------------------------------------------------------------------------

@fact("daily-use", "battery")
def daily_use(book: Book, battery: str) -> Reading:
    """Energy its loads take on a usual day: current (or average power over efficiency) times hours, idling, and what stands. [J]"""
    group = mates(book, battery)
    found = _Sum(book)
    pressure = _at_work(book, battery)
    for load in book.members("load"):
        mine, alone = _feeds(book, group, load)
        if not mine or book.truth_of("breakaway", load) is Truth.YES or book.truth_of("monitor-supply", load) is Truth.YES:
            continue
        hours = found.read("hours-a-day", load)
        if hours.high == 0:
            used = NOTHING
        elif book.reading("average-power", load).gap is None:
            power = found.read("average-power", load)
            if book.is_a(load, "inverter"):
                power = divided_by(power, found.read("efficiency", load))
            used = times(power, hours)
        else:
            # Nobody said what it takes on average: at most all it can, all those hours.
            used = Range(0.0, times(times(found.read("feed-current", load), pressure), hours).high)
            found.wants.add(FactRef(load, "average-power"))
        idle = book.reading("idle-power", load)
        if idle.gap is None:
            used = plus(used, times(found.read("idle-power", load), found.read("idle-a-day", load)))
        elif book.is_a(load, "inverter"):
            used = Range(used.low, plus(used, times(found.read("idle-power", load), found.read("idle-a-day", load))).high)
        # What another bank may feed as well counts in the upper end only.
        found.add(load, used if alone else Range(0.0, used.high))
    found.add("standing", times(times(found.read("standing-current", battery), pressure), Range(DAY, DAY)))

    def working() -> tuple[Step, ...]:
        return (Step(f"energy taken from the bank of {battery} on a usual day", "sum of current × volts × hours, or average power / efficiency × hours",
                     f"{found.said(watt_hours)} = {watt_hours(found.total)}", "balance", known_inputs(book, found.refs)),)

    return worked(found.total if book.wiring_complete else Range(found.total.low, INF), wants=found.wants, uses=found.uses, working=working)


@fact("usable-energy", "battery")
def usable_energy(book: Book, battery: str) -> Reading:
    """Energy its bank can give: sum of capacity times usable share times volts in use. [J]"""
    found = _Sum(book)
    for one in mates(book, battery):
        found.add(one, times(times(found.read("capacity", one), found.read("usable-share", one)), _at_work(book, one)))

    def working() -> tuple[Step, ...]:
        return (Step(f"energy the bank of {battery} can give", "capacity × usable share × volts in use",
                     f"{found.said(watt_hours)} = {watt_hours(found.total)}",
                     "balance", known_inputs(book, found.refs)),)

    return worked(found.total, wants=found.wants, uses=found.uses, working=working)


@fact("days-in-reserve", "battery")
def days_in_reserve(book: Book, battery: str) -> Reading:
    """How long its bank lasts with no charging. [s]"""
    store, used = book.reading("usable-energy", battery), book.reading("daily-use", battery)
    energy = store.value if isinstance(store.value, Range) else Range(0.0, INF)
    a_day = used.value if isinstance(used.value, Range) else Range(0.0, INF)
    value = Range(0.0 if a_day.high in (0.0, INF) else storage.days_lasting(energy.low, a_day.high) * DAY,
                  INF if a_day.low <= 0 else storage.days_lasting(energy.high, a_day.low) * DAY)

    def working() -> tuple[Step, ...]:
        return (*(used.working() if used.working else ()), *(store.working() if store.working else ()),
                Step(f"how long the bank of {battery} lasts", "usable energy / energy a day",
                     f"{watt_hours(energy)} / {watt_hours(a_day)} = {times_said(value)}", "balance"))

    return worked(value, wants=wants_of(store, used), uses=uses_of(store, used), working=working)


def gained(book: Book, battery: str, season: str) -> _Sum:
    """Energy a day of the season brings to a bank: from the sun, from driving, from the mains. [J]"""
    found = _Sum(book)
    group = mates(book, battery)
    rest = resistance.rest_voltage(book, battery)
    for charger in book.members("charger"):
        reaching = [book.relation("charging", charger, b) for b in group]
        if all(a.no == book.everything for a in reaching):
            continue
        # Only what reaches it whenever it runs is sure to bring it anything.
        awake = book.reach.awake(charger, sure=False)
        sure = any(a.yes != book.nothing and book.without(awake, a.yes) == book.nothing for a in reaching)
        if book.is_a(charger, "solar-controller"):
            got = NOTHING
            for array in book.members("solar-array"):
                if book.relation("feeding", array, charger).no == book.everything:
                    continue
                got = plus(got, peak_power(book, found, array))
            got = times(times(got, found.read(f"{season}-sun", "")), found.read("sun-yield", ""))
        else:
            hours = found.read("drive-a-day" if book.is_a(charger, "converter") else "shore-a-day", "")
            got = times(times(found.read("charge-arriving", charger), rest), hours) if hours.high > 0 else NOTHING
        found.add(charger, got if sure else Range(0.0, got.high))
    return found


def peak_power(book: Book, found: _Sum, array: str) -> Range:
    """Peak power of an array: as stated, or volts times amperes at maximum power of all its modules. [W]"""
    count = times(found.read("modules-in-series", array), found.read("strings-in-parallel", array))
    if book.reading("peak-power", array).gap is None:
        return times(found.read("peak-power", array), count)
    return times(times(found.read("working-voltage", array), found.read("working-current", array)), count)


def _balance(book: Book, battery: str, season: str) -> Reading:
    used = book.reading("daily-use", battery)
    a_day = used.value if isinstance(used.value, Range) else Range(0.0, INF)
    got = gained(book, battery, season)
    value = minus(got.total, a_day) if not (got.total.high == INF and a_day.high == INF) else Range(-INF, INF)
    if value.low != value.low or value.high != value.high:
        value = Range(-INF, INF)

    def working() -> tuple[Step, ...]:
        return (*(used.working() if used.working else ()),
                Step(f"what a day in {season} leaves the bank of {battery}", "peak power × sun hours × yield + arriving current × volts × hours − use",
                     f"{got.said(watt_hours)} − {watt_hours(a_day)} = {watt_hours(value)}", "balance of a mean day", known_inputs(book, got.refs)))

    return worked(value, wants=got.wants | used.wants, uses=got.uses | used.uses, working=working)


@fact("summer-balance", "battery")
def summer_balance(book: Book, battery: str) -> Reading:
    """What a summer day leaves over, negative where it falls short. [J]"""
    return _balance(book, battery, "summer")


@fact("autumn-balance", "battery")
def autumn_balance(book: Book, battery: str) -> Reading:
    """What a day of spring or autumn leaves over. [J]"""
    return _balance(book, battery, "autumn")


@fact("winter-balance", "battery")
def winter_balance(book: Book, battery: str) -> Reading:
    """What a midwinter day leaves over. [J]"""
    return _balance(book, battery, "winter")
