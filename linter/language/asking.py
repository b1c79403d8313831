"""How a practice's "every way …" is put to the World."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.language import typed as t
from linter.language.tally import UNKNOWN, Env
from linter.language.world import Ways, World

if TYPE_CHECKING:
    from linter.language.compiler import Compiler


class Wanting(Mapping[str, frozenset[FactRef]]):
    """What would settle each doubtful device of a way. Worked out only when the World asks."""

    def __init__(self, devices: tuple[str, ...], ask: Callable[[str], frozenset[FactRef]]) -> None:
        self._devices = devices
        self._ask = ask

    def __getitem__(self, device: str) -> frozenset[FactRef]:
        if device not in self._devices:
            raise KeyError(device)
        return self._ask(device)

    def __iter__(self) -> Iterator[str]:
        return iter(self._devices)

    def __len__(self) -> int:
        return len(self._devices)


class WayQuestion:
    """Puts one `every way …` into the World's words, for the elements now in the slots."""

    def __init__(self, compiler: Compiler, node: t.Meets) -> None:
        self.node = node
        self.compiler = compiler
        self.start = self._ends(node.start, True)
        self.end = self._ends(node.end, node.form != "into") if node.end is not None else None
        self.avoiding = self._ends(node.avoiding, False) if node.avoiding is not None else None
        self.device = compiler.members(node.device)
        self.within = compiler.amount(node.within) if node.within is not None else None

    def _ends(self, ends: t.Ends, terminals: bool) -> Callable[[Env], tuple[list[str], list[str], bool] | None]:
        """Sure and doubtful ends, and whether the list is whole; None when it is not known which thing is meant."""
        compiler, word = self.compiler, ends.terminal

        def name(world: World, element: str) -> str | None:
            return compiler.terminal(world, element, word) if terminals else element
        if ends.group is None:
            assert ends.thing is not None
            thing = compiler.thing(ends.thing)

            def one(env: Env) -> tuple[list[str], list[str], bool] | None:
                element = thing(env)
                found = name(env[0], element) if element is not None else None
                return None if found is None else ([found], [], True)
            return one
        group = ends.group
        # A source that feeds only in some states is a doubtful start: cautious, never wrong.
        condition = compiler.spread(group.condition) if group.condition is not None else None

        def each(env: Env) -> tuple[list[str], list[str], bool] | None:
            world = env[0]
            sure: list[str] = []
            maybe: list[str] = []
            whole = world.complete(group.kind)
            members = world.members(group.kind)
            world.spend(len(members) + 1)
            for member in members:
                env[group.slot] = member
                if condition is not None:
                    yes, no = condition(env)
                    if no == world.everything:
                        continue
                    certain = yes == world.everything
                else:
                    certain = True
                found = name(world, member)
                if found is None:
                    whole = False
                else:
                    (sure if certain else maybe).append(found)
            return sure, maybe, whole
        return each

    def put(self, env: Env) -> tuple[Ways | None, bool]:
        """The question, and whether a "yes" may be believed (the lists of starts and ends are whole)."""
        node = self.node
        start = self.start(env)
        end = self.end(env) if self.end is not None else ([], [], True)
        avoiding = self.avoiding(env) if self.avoiding is not None else ([], [], True)
        if start is None or end is None or avoiding is None:
            return None, False
        meets: dict[str, Truth] = {}
        for certain in self.device(env):
            meets[env[node.device.slot]] = certain
        doubtful = tuple(device for device, certain in meets.items() if certain is UNKNOWN)
        within = Reading(self.within(env)) if self.within is not None else None
        snapshot = list(env)

        def ask(device: str) -> frozenset[FactRef]:
            from linter.language.explain import wants_of
            snapshot[node.device.slot] = device
            return wants_of(node.device.condition, self.compiler, snapshot)
        question = Ways(node.form, tuple(start[0]), tuple(end[0]), tuple(avoiding[0]), meets, Wanting(doubtful, ask), within,
                        tuple(start[1]), tuple(avoiding[1]), tuple(end[1]))
        return question, start[2] and end[2]
