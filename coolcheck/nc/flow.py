"""Where flow statements lead: the other end of a loop, the next branch of a condition. Looked for when first needed."""

from collections.abc import Callable, Iterator

from coolcheck.nc.blocks import Flow
from coolcheck.nc.program import Program

Statement = tuple[int, Flow]


class Partners:
    """The flow statements of one program file and how they belong together. Only blocks without a shape can hold one."""

    def __init__(self, program: Program) -> None:
        self._program = program
        self._statements: list[Statement] | None = None
        self._ends: dict[int, int | None] = {}
        self._starts: dict[int, int | None] = {}
        self._found: dict[tuple[int, str, tuple[str, ...]], Statement | None] = {}

    def _all(self) -> list[Statement]:
        if self._statements is None:
            self._statements = [
                (index, element)
                for index in self._program.unshaped.tolist()
                for element in self._program.block(index).elements
                if isinstance(element, Flow)
            ]
        return self._statements

    def _behind(self, index: int) -> Iterator[Statement]:
        return (pair for pair in self._all() if pair[0] > index)

    def loop_end(self, index: int, number: float | None) -> int | None:
        """The block of the END that belongs to the DO at `index`; None when there is none."""
        if index not in self._ends:
            self._ends[index] = next(
                (at for at, flow in self._behind(index) if flow.kind == "end" and flow.label and flow.label.constant == number),
                None,
            )
            end = self._ends[index]
            if end is not None:
                self._starts[end] = index
        return self._ends[index]

    def loop_start(self, index: int, number: float | None) -> int | None:
        """The block of the DO that belongs to the END at `index`."""
        if index not in self._starts:
            self._starts[index] = next(
                (
                    at
                    for at, flow in reversed(self._all())
                    if at < index and flow.kind in ("do", "while_do") and flow.label and flow.label.constant == number
                ),
                None,
            )
        return self._starts[index]

    def next_of(self, index: int, name: str, kinds: tuple[str, ...]) -> Statement | None:
        """The next O-word statement of that name and one of these kinds behind `index`."""
        return self._kept(
            (index, name, kinds), lambda: (pair for pair in self._behind(index) if pair[1].name == name and pair[1].kind in kinds)
        )

    def before(self, index: int, name: str, kinds: tuple[str, ...]) -> Statement | None:
        """The last O-word statement of that name and one of these kinds before `index`."""
        return self._kept(
            (-1 - index, name, kinds),
            lambda: (
                pair for pair in reversed(self._all()) if pair[0] < index and pair[1].name == name and pair[1].kind in kinds
            ),
        )

    def _kept(self, key: tuple[int, str, tuple[str, ...]], search: Callable[[], Iterator[Statement]]) -> Statement | None:
        if key not in self._found:
            self._found[key] = next(search(), None)
        return self._found[key]
