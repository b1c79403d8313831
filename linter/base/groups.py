"""What hangs together by pairs: names in groups that grow as two of them are joined."""

from __future__ import annotations


class Groups:
    """Disjoint sets of names. A name nobody joined is a group of its own."""

    __slots__ = ("_root",)

    def __init__(self) -> None:
        self._root: dict[str, str] = {}

    def find(self, name: str) -> str:
        """The name that stands for the group of another."""
        root = self._root
        while root.setdefault(name, name) != name:
            root[name] = root[root[name]]
            name = root[name]
        return name

    def join(self, one: str, other: str) -> None:
        """Makes the groups of two names one."""
        self._root[self.find(one)] = self.find(other)
