"""Flow statements of a running program: GOTO, IF, WHILE, DO, END, and the O-words. One function a kind of statement."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from coolcheck.nc.blocks import Flow
from coolcheck.nc.macros import Expression

if TYPE_CHECKING:
    from coolcheck.nc.interpret import Interpreter

Branch = Callable[["Interpreter", int, Flow], None]


def _number(run: "Interpreter", expression: Expression | None) -> float | None:
    """A label number; None when there is none or it is not known."""
    if expression is not None and expression.constant is not None:
        return expression.constant  # nearly always, and asked in every turn of a loop
    value = run.values.of(expression)
    return None if value is None or value != value else value


def _holds(run: "Interpreter", flow: Flow, index: int) -> bool:
    """Is the condition true? One that is not known counts as false, and is noted."""
    value = run.values.of(flow.condition)
    if value is not None and value != value:
        run.note(
            "undecidable-branch",
            "this condition depends on a value that is not known here; it is taken as not true",
            "what follows may run another way on the machine",
            affects="flow",
            key=str(index),
            element=flow,
        )
        return False
    return bool(value)


def _enters(run: "Interpreter", flow: Flow, index: int) -> bool:
    """Is the body of a loop run once more? With a condition that is not known: once."""
    value = run.values.of(flow.condition)
    if value is None or value == value:
        return bool(value)
    undecided = run.calls.current.undecided
    if index in undecided:
        undecided.discard(index)
        return False
    undecided.add(index)
    run.note(
        "undecidable-branch",
        "how often this loop runs depends on a value that is not known here; it is followed once",
        "what follows may run another way on the machine",
        affects="flow",
        key=str(index),
        element=flow,
    )
    return True


def _lost_partner(run: "Interpreter", index: int, flow: Flow, wanted: str) -> None:
    run.note(
        "flow-without-partner",
        f"the other end of this statement, {wanted}, is not there",
        "write it",
        affects="flow",
        key=str(index),
        element=flow,
    )


# ----------------------------------------------------------------- # macros


def _goto(run: "Interpreter", index: int, flow: Flow) -> None:
    number = _number(run, flow.label)
    if number is None:
        run.note("missing-target", "a jump to a sequence number that is not known", affects="flow", key=str(index), element=flow)
        run.stop()
        return
    run.jump_to_sequence(number)


def _if_goto(run: "Interpreter", index: int, flow: Flow) -> None:
    run.may_go_to(index + 1)
    number = _number(run, flow.label)
    target = run.sequence_block(number) if number is not None else None
    if target is not None:
        run.may_go_to(target)
    if _holds(run, flow, index):
        _goto(run, index, flow)


def _if_then(run: "Interpreter", index: int, flow: Flow) -> None:
    if _holds(run, flow, index) and flow.then is not None:
        run.values.assign([flow.then])


def _while(run: "Interpreter", index: int, flow: Flow) -> None:
    end = run.unit.partners.loop_end(index, _number(run, flow.label))
    if end is None:
        _lost_partner(run, index, flow, "END")
        return
    run.may_go_to(index + 1, end + 1)
    if not _enters(run, flow, index):
        run.jump(end + 1)


def _do(run: "Interpreter", index: int, flow: Flow) -> None:
    if run.unit.partners.loop_end(index, _number(run, flow.label)) is None:
        _lost_partner(run, index, flow, "END")


def _end(run: "Interpreter", index: int, flow: Flow) -> None:
    start = run.unit.partners.loop_start(index, _number(run, flow.label))
    if start is None:
        _lost_partner(run, index, flow, "DO")
        return
    run.jump(start)


# ------------------------------------------------------------------- O-words


def _sub(run: "Interpreter", index: int, flow: Flow) -> None:
    """A definition met in passing is stepped over."""
    end = run.unit.partners.next_of(index, flow.name, ("endsub",))
    if end is None:
        _lost_partner(run, index, flow, "endsub")
        return
    run.jump(end[0] + 1)


def _call(run: "Interpreter", index: int, flow: Flow) -> None:
    run.calls.o_word(flow)


def _return(run: "Interpreter", index: int, flow: Flow) -> None:
    if flow.condition is not None:
        run.values.variables.write("_value", run.values.of(flow.condition))
    run.calls.leave()


def _o_if(run: "Interpreter", index: int, flow: Flow) -> None:
    at, statement = index, flow
    while True:
        run.may_go_to(at + 1)
        if statement.kind == "else" or _holds(run, statement, at):
            run.jump(at + 1) if at != index else None
            return
        found = run.unit.partners.next_of(at, flow.name, ("elseif", "else", "endif"))
        if found is None:
            _lost_partner(run, index, flow, "endif")
            return
        at, statement = found
        if statement.kind == "endif":
            run.may_go_to(at + 1)
            run.jump(at + 1)
            return


def _o_else(run: "Interpreter", index: int, flow: Flow) -> None:
    """Reached from the branch above it: that one is done."""
    end = run.unit.partners.next_of(index, flow.name, ("endif",))
    if end is not None:
        run.jump(end[0] + 1)


def _o_while(run: "Interpreter", index: int, flow: Flow) -> None:
    """The head of a while loop, or the tail of `do … while`."""
    before = run.unit.partners.before(index, flow.name, ("do_while", "while", "endwhile"))
    run.may_go_to(index + 1)
    if before is not None and before[1].kind == "do_while":
        if _enters(run, flow, index):
            run.jump(before[0] + 1)
        return
    end = run.unit.partners.next_of(index, flow.name, ("endwhile",))
    if end is None:
        _lost_partner(run, index, flow, "endwhile")
        return
    run.may_go_to(end[0] + 1)
    if not _enters(run, flow, index):
        run.jump(end[0] + 1)


def _o_endwhile(run: "Interpreter", index: int, flow: Flow) -> None:
    start = run.unit.partners.before(index, flow.name, ("while",))
    if start is None:
        _lost_partner(run, index, flow, "while")
        return
    run.jump(start[0])


def _repeat(run: "Interpreter", index: int, flow: Flow) -> None:
    end = run.unit.partners.next_of(index, flow.name, ("endrepeat",))
    if end is None:
        _lost_partner(run, index, flow, "endrepeat")
        return
    count = run.values.of(flow.condition)
    if count is not None and count != count:
        run.note(
            "undecidable-branch",
            "how often this loop runs is not known here; it is followed once",
            affects="flow",
            key=str(index),
            element=flow,
        )
        count = 1.0
    run.may_go_to(index + 1)
    if not count or count < 1:
        run.jump(end[0] + 1)
        return
    run.calls.current.counters[index] = round(count) - 1


def _endrepeat(run: "Interpreter", index: int, flow: Flow) -> None:
    start = run.unit.partners.before(index, flow.name, ("repeat",))
    if start is None:
        _lost_partner(run, index, flow, "repeat")
        return
    left = run.calls.current.counters.get(start[0], 0)
    if left > 0:
        run.calls.current.counters[start[0]] = left - 1
        run.jump(start[0] + 1, counts=True)


def _break(run: "Interpreter", index: int, flow: Flow) -> None:
    end = run.unit.partners.next_of(index, flow.name, ("endwhile", "endrepeat", "while"))
    if end is None:
        _lost_partner(run, index, flow, "endwhile")
        return
    run.jump(end[0] + 1)


def _continue(run: "Interpreter", index: int, flow: Flow) -> None:
    end = run.unit.partners.next_of(index, flow.name, ("endwhile", "endrepeat", "while"))
    if end is None:
        _lost_partner(run, index, flow, "endwhile")
        return
    run.jump(end[0])


def _nothing(run: "Interpreter", index: int, flow: Flow) -> None:
    """Marks a place; nothing happens there."""


FLOW: Mapping[str, Branch] = MappingProxyType(
    {
        "goto": _goto,
        "if_goto": _if_goto,
        "if_then": _if_then,
        "while_do": _while,
        "do": _do,
        "end": _end,
        "sub": _sub,
        "endsub": _return,
        "call": _call,
        "return": _return,
        "if": _o_if,
        "elseif": _o_else,
        "else": _o_else,
        "endif": _nothing,
        "while": _o_while,
        "endwhile": _o_endwhile,
        "do_while": _nothing,
        "repeat": _repeat,
        "endrepeat": _endrepeat,
        "break": _break,
        "continue": _continue,
    }
)
