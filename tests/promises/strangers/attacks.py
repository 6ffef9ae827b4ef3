"""The result of an attack, and what all attacks are given."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from tests.promises.strangers.owner import Owner
from tests.promises.strangers.users import Stranger


class Attack(NamedTuple):
    """`got` is what the stranger got that it may not have. `harm` is what failed for the owner."""

    name: str
    item: str
    tries: int
    got: tuple[str, ...]
    harm: str

    @property
    def failed(self) -> bool:
        return bool(self.got or self.harm or not self.tries)


class Field:
    """Where the attacks happen: the owner, the stranger, and the results so far."""

    def __init__(self, owner: Owner, stranger: Stranger, *, count: int, idle: int, seed: int,
                 tell: Callable[[Attack], None]) -> None:  # fmt: skip
        self.owner = owner
        self.stranger = stranger
        self.count = count
        self.idle = idle
        self.seed = seed
        self._tell = tell

    def record(self, name: str, item: str, given: dict[str, Any], harm: str = "") -> None:
        """Record what an attempt gave, with what it did to the owner."""
        self._tell(Attack(name, item, given["tries"], tuple(given["got"]), harm))


Section = Callable[[Field], None]
