"""How many random cases the property tests draw: few in the everyday run, the counts of a thorough one when TUGTEST_THOROUGH names a factor.

TUGTEST_THOROUGH=130 draws some 20,000 formulas and 40,000 operating-state cases.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

FACTOR = max(1, int(os.environ.get("TUGTEST_THOROUGH", "1") or "1"))


def many(cases: int, deadline: int | None = None) -> settings:
    """Settings for a property test that draws `cases` every day."""
    return settings(max_examples=cases * FACTOR, deadline=deadline, suppress_health_check=list(HealthCheck))
