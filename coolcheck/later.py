"""Sequences that are made when somebody looks: most are never looked at, and some are long."""

from abc import abstractmethod
from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import TypeVar, overload

T = TypeVar("T")


class Later(Sequence[T]):
    """Equal to any sequence with equal items. A class of it says in `_make` what its items are."""

    @abstractmethod
    def _make(self) -> tuple[T, ...]: ...

    @cached_property
    def _made(self) -> tuple[T, ...]:
        return self._make()

    def __len__(self) -> int:
        return len(self._made)

    @overload
    def __getitem__(self, at: int) -> T: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[T, ...]: ...
    def __getitem__(self, at: int | slice) -> T | tuple[T, ...]:
        return self._made[at]

    def __iter__(self) -> Iterator[T]:
        return iter(self._made)

    def __eq__(self, other: object) -> bool:
        return self._made == tuple(other) if isinstance(other, Sequence) else NotImplemented

    def __hash__(self) -> int:
        return hash(self._made)
