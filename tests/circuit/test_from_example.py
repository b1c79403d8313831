"""Examples of practices, made into circuits."""

from __future__ import annotations

from linter.base.gap import FactRef
from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.from_example import circuit_of_example
from linter.facts.book import Book
from linter.language.check import check_packs
from linter.language.parse import parse_pack

PACK = """
pack trial edition 1.0 speaks 1
  says "One practice."
done
practice wire-measured
  says "Each wire has a length."
  look at each conductor C
  require length of C at least shortest
  weight notice
  because "A run nobody measured is a run nobody knows."
  follows "Measure."
  remedy "Measure."
done
limit shortest is 1 mm allowed 1 mm to 1 m stricter when higher
  because "Shorter is no wire."
example dial
  says "A dial of which one position is not known."
  tries wire-measured
  fitted
    vehicle V1 has chassis-metal steel
    battery B1 has capacity 100 Ah
    fuse F1 has rating 60 A, line bolted to positive of B1
    conductor W1 has length 1 m, size 10 mm2, runs from load of F1 to common of K1
    selector K1 has changes make-before-break
    position first of K1 joins common, first
    position second of K1 joins unknown
    position off of K1 joins nothing
    conductor W2 has length 2 m to 3 m, runs from first of K1 to positive of truck of X1
    conductor W3 has length 2 m, runs from second of K1 to positive of L1
    coupling X1 has current-at-most 50 A
    half truck of X1 has vehicle-of V1, cap yes
    half trailer of X1
    load L1 has current 5 A
    load L2 has current 5 A
    relay R1 has closed when engine runs
    conductor W4 has length 1 m, runs from positive of trailer of X1 to line of R1
    conductor W5 has length 1 m, runs from load of R1 to positive of L2
    apart K1 first, X1 parted
    that is everything
  expect W1, W2, W3, W4, W5 met
done
"""


def test_example_becomes_a_circuit() -> None:
    pack, troubles = parse_pack(PACK, "trial.practice")
    assert pack is not None and not [x for x in troubles if x.fatal], troubles
    checked, troubles = check_packs([pack])
    assert checked.examples, troubles
    circuit, troubles = circuit_of_example(checked.examples[0])
    assert not troubles
    book = Book(circuit)
    # Three positions, plug mated or parted, engine: twelve, less position one with the plug parted.
    assert book.count(book.everything) == 10
    assert book.quantity("length", "W2") == Range(2.0, 3.0)
    fed = book.relation("fed-in", "L2", None)
    assert book.describe_states(fed.yes) == "engine runs, K1 first"
    assert FactRef("K1", "joins") in fed.wants
    one = book.relation("fed-in", "L1", None)
    assert one.yes == book.nothing and book.describe_states(one.no) == "K1 not second"
    assert book.truth_of("cap", "X1 truck") is Truth.YES and book.reading("cap", "X1 trailer").gap is not None
    assert book.part("truck", "X1")[0] == "X1 truck" and book.part("positive", "X1 truck")[0] == "X1 truck positive"
    assert book.part("start", "W1")[0] == "F1 load" and book.complete("source")
