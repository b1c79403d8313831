"""N4's loaded cases with the dial at BOTH: the lift node and the load bar, by the nodal solver."""

from __future__ import annotations

import pytest

from linter.facts.nodal import Branch, branch_currents
from tests.facts.test_formulas_worked import LIFT, LIFT_START, RI_B2, RI_T, ROOM, agrees, bank, lift_leg, lift_link

# Nodes: the common negative, the lift node at K1, the load bar.
GROUND, LIFT_NODE, LOAD_BAR = 0, 1, 2


def both(volts_lift: float, volts_bank: float, lift: float, room: float, at_lift: float = 0.0, at_bank: float = 0.0,
         warm: float = 50.0) -> tuple[float, float, float, float, float]:
    """Amperes through the link towards the flatbed, out of B2, out of the bank; volts at the lift node and at the load bar."""
    leg, link, own = lift_leg(RI_B2, warm), lift_link(warm), bank(RI_T, warm)
    branches = [Branch(GROUND, LIFT_NODE, leg, "B2"), Branch(LOAD_BAR, LIFT_NODE, link), Branch(GROUND, LOAD_BAR, own, "bank")]
    pushed = [{"lift": lift - at_lift, "room": room - at_bank}, {"lift": at_lift - lift}, {"room": at_bank - room}]
    found = branch_currents(3, branches, pushed)
    amount = {"B2": volts_lift, "bank": volts_bank, "lift": 1.0, "room": 1.0}
    out_of_b2, through_link, out_of_bank = (sum(amount[c] * x for c, x in one.items()) for one in found)
    return through_link, out_of_b2, out_of_bank, volts_lift - out_of_b2 * leg, volts_bank - out_of_bank * own


def test_loaded_in_both() -> None:
    link, b2, own, at_lift, at_bar = both(12.6, 13.2, LIFT, ROOM, at_lift=10, at_bank=40 + 35)
    agrees("52.2 A", link)
    agrees("22.8 A", b2)
    agrees("65.2 A", own)
    agrees("12.48 V", at_lift)
    agrees("13.08 V", at_bar)


def test_the_lift_starts_in_the_evening() -> None:
    link, b2, *_ = both(12.6, 13.2, LIFT_START, ROOM)
    agrees("69.4 A", link)
    agrees("90.6 A", b2)


def test_at_rest_and_at_worst() -> None:
    agrees("51.0 A", both(12.4, 13.3, 0, 0, warm=20)[0])
    agrees("123.7 A", both(11.8, 13.4, LIFT, 0, at_lift=10, at_bank=40 + 35 + 25, warm=20)[0])


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 0, 1)])
def test_order_of_branches_changes_nothing(order: tuple[int, ...]) -> None:
    branches = [Branch(0, 1, 0.005, "a"), Branch(2, 1, 0.01), Branch(0, 2, 0.002, "b")]
    pushed: list[dict[str, float]] = [{"x": 1.0}, {"x": -1.0}, {}]
    plain, turned = branch_currents(3, branches, pushed), branch_currents(3, [branches[k] for k in order], pushed)
    for at, k in enumerate(order):
        for column, amount in plain[k].items():
            assert turned[at][column] == pytest.approx(amount, rel=1e-12)
