"""The tables the formulas read, from `grammar/tables/*.csv`; each is read once, when first asked for."""

from __future__ import annotations

from functools import cache

from linter import shelf


def rows(name: str) -> list[dict[str, str]]:
    """Rows of one table as column to cell; lines that start with # are its header."""
    lines = [line.split(",") for line in shelf.text(f"tables/{name}").splitlines() if line and not line.startswith("#")]
    return [dict(zip(lines[0], line, strict=True)) for line in lines[1:]]


@cache
def _class5() -> dict[float, float]:
    # Keyed by mm² rounded to 1e-4, so that 35e-6 m² and 35 mm² meet.
    return {round(float(row["area_mm2"]), 4): float(row["class5_mohm_per_m"]) * 1e-3 for row in rows("conductors_metric.csv")}


def class5_resistance(area: float) -> float | None:
    """Greatest resistance per metre at 20 °C of a metric nominal area, or None for any other. [Ω/m]"""
    return _class5().get(round(area * 1e6, 4))


@cache
def voltage_factors() -> tuple[tuple[float, float], ...]:
    """Rows of lowest temperature and factor on open-circuit voltage, warmest first. [°C, 1]"""
    return tuple((float(row["t_low_c"]), float(row["factor"])) for row in rows("pv_voc_correction.csv"))


@cache
def capacity_table(name: str) -> tuple[tuple[float, ...], tuple[tuple[float, tuple[float, ...]], ...]]:
    """A capacity table: insulation classes in °C, and rows of area in m² with amperes per class, thinnest first."""
    body = rows(name)
    classes = tuple(float(key[1:]) for key in body[0] if key.startswith("t"))
    return classes, tuple((float(row["area_mm2"]) * 1e-6, tuple(float(row[key]) for key in row if key.startswith("t"))) for row in body)


@cache
def slow_edge(family: str) -> tuple[tuple[float, float], ...]:
    """Multiple of the rating to the time by which a fuse has surely opened, rising; "" or a family not tabled: the slowest of all fuses. [1, s]"""
    every: dict[str, dict[float, float]] = {}
    for row in rows("fuse_time_current.csv"):
        if row["max_s"] and not row["family"].startswith("thermal_breaker"):
            every.setdefault(row["family"], {})[float(row["percent"]) / 100] = float(row["max_s"])
    if family in every:
        return tuple(sorted(every[family].items()))
    points = sorted({m for table in every.values() for m in table})
    slowest: list[tuple[float, float]] = []
    for m in points:
        times = [max((t for k, t in table.items() if k <= m), default=float("inf")) if not any(k <= m for k in table)
                 else min(t for k, t in table.items() if k <= m) for table in every.values()]
        if max(times) < float("inf"):
            slowest.append((m, max(times)))
    return tuple(slowest)


@cache
def metric_sizes() -> tuple[float, ...]:
    """Metric nominal areas, thin to thick. [m²]"""
    return tuple(sorted(float(row["area_mm2"]) * 1e-6 for row in rows("conductors_metric.csv")))


@cache
def _fuses() -> dict[str, tuple[tuple[float, ...], float, float]]:
    return {row["family"]: (tuple(float(r) for r in row["ratings_a"].split()), float(row["interrupt_a"]), float(row["interrupt_at_v"]))
            for row in rows("fuse_ratings.csv")}


def fuse_series(family: str) -> tuple[float, ...]:
    """Standard ratings of a family, rising; none where the family is not tabled. [A]"""
    return _fuses()[family][0] if family in _fuses() else ()


def fuse_breaks(family: str) -> tuple[float, float] | None:
    """What a family usually breaks, and at which voltage. [A, V]"""
    return _fuses()[family][1:] if family in _fuses() else None
