"""From the text of one block to its elements, by the grammar in `grammars/word_address.lark`."""

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Any

from lark import Lark, Token, Transformer, Tree
from lark.exceptions import UnexpectedCharacters, UnexpectedInput, UnexpectedToken, VisitError
from lark.visitors import v_args

from coolcheck.nc import macros
from coolcheck.nc.blocks import Assign, Comment, Element, Flow, Label, Output, Skip, Tape, Unread, Word
from coolcheck.nc.macros import Arithmetic, Evaluate, Expression, MacroFault, Target
from coolcheck.shipped import shipped

DEEPEST = 60  # brackets within brackets; the field's own limits are 5 to 10
MOST_OPERANDS = 200  # in one expression: it is evaluated by calls within calls, which may not be too many
MOST_DIGITS = 15  # before the decimal point: so many are exact in a float, and no machine is so long
MOST_CUTS = 40  # places tried for the end of what can still be read in a faulty block
# A function with the wrong number of arguments, a number too large; lark does not wrap what comes up in an imported rule.
_NOT_BUILT = (VisitError, ValueError)
_IN_WORDS = {  # what a terminal of the grammar is called in a message
    "ADDRESS": "a word", "NUMBER": "a number", "UNSIGNED": "a number", "DIGITS": "a whole number", "COMMENT": "a comment",
    "LSQB": "[", "RSQB": "]", "HASH": "#", "$END": "end of block", "EQUAL": "=", "OPERATOR": "an operator", "SIGN": "+ or -",
    "FUNCTION": "a function such as SIN", "NAME": "a name in <>", "DO": "DO", "GOTO": "GOTO", "THEN": "THEN", "COMMA": ",",
}  # fmt: skip


class BlockReader:
    """Reads blocks of one dialect. `parse` gives elements whose offsets count from the start of the block."""

    def __init__(self, o_words: bool, arithmetic: Arithmetic) -> None:
        self._start = "o_block" if o_words else "block"
        self._lark = _grammar()
        self._builder = _Builder(arithmetic)

    def parse(self, text: str) -> tuple[Element, ...]:
        """The elements of a block. What the grammar does not know comes back as `Unread`; nothing is raised."""
        if _depth(text) > DEEPEST:
            return (Unread(text, 0, len(text), (f"at most {DEEPEST} brackets within each other",)),)
        try:
            return self._built(self._lark.parse(text, start=self._start))
        except UnexpectedInput as fault:
            return self._around(text, fault)
        except _NOT_BUILT as fault:
            return (Unread(text, 0, len(text), (str(fault.orig_exc if isinstance(fault, VisitError) else fault),)),)

    def _around(self, text: str, fault: UnexpectedInput) -> tuple[Element, ...]:
        """What stands before the fault, as far as it is whole, then the rest as one unread part."""
        at = min(max(fault.pos_in_stream if fault.pos_in_stream is not None else len(text), 0), len(text))
        if isinstance(fault, UnexpectedToken) and fault.token.type == "$END":
            at = len(text)
        cuts = [c for c in range(at, 0, -1) if text[c - 1] in " \t])" or text[c : c + 1].isalpha() or text[c : c + 1] == "#"]
        for cut in cuts[:MOST_CUTS]:
            try:
                whole = self._built(self._lark.parse(text[:cut], start=self._start))
            except (UnexpectedInput, *_NOT_BUILT):
                continue
            return (*whole, Unread(text[cut:], cut, len(text), _expected(fault)))
        return (Unread(text, 0, len(text), _expected(fault)),)

    def _built(self, tree: Tree[Token]) -> tuple[Element, ...]:
        elements: tuple[Element, ...] = self._builder.transform(tree)
        return _stray_before_unread(elements)


@lru_cache(maxsize=8)
def reader_of(o_words: bool, arithmetic: Arithmetic) -> BlockReader:
    """The reader of a dialect: one serves all its programs."""
    return BlockReader(o_words, arithmetic)


@lru_cache(maxsize=1)
def _grammar() -> Lark:
    return Lark.open(
        str(shipped("grammars") / "word_address.lark"), parser="lalr", start=["block", "o_block"], maybe_placeholders=False
    )


def _depth(text: str) -> int:
    """How deep brackets, and variables named by variables, lie within each other."""
    depth = deepest = marks = 0
    for character in text:
        marks = marks + 1 if character == "#" else 0
        depth += (character == "[") - (character == "]")
        deepest = max(deepest, depth, marks)
    return deepest


def _expected(fault: UnexpectedInput) -> tuple[str, ...]:
    names: set[str] = set()
    if isinstance(fault, UnexpectedToken):
        names = set(fault.accepts or fault.expected)
    elif isinstance(fault, UnexpectedCharacters):
        names = set(fault.allowed or ())
    plain = {_IN_WORDS.get(name.removeprefix("macro__")) for name in names}
    return tuple(sorted(name for name in plain if name)) or ("a word", "a comment", "end of block")


def _stray_before_unread(elements: tuple[Element, ...]) -> tuple[Element, ...]:
    """A word that runs straight into an unread part has no value that could be trusted."""
    mended = list(elements)
    for at in range(len(mended) - 1):
        word, behind = mended[at], mended[at + 1]
        if isinstance(word, Word) and isinstance(behind, Unread) and word.end == behind.start:
            mended[at] = replace(word, value=None, expression=None)
    return tuple(mended)


def shifted(elements: tuple[Element, ...], by: int) -> tuple[Element, ...]:
    """The same elements, `by` bytes further on."""
    return tuple(_SHIFTERS.get(type(e), _shift_any)(e, by) for e in elements)


def _shift_word(word: Any, by: int) -> Word:
    return Word(word.letter, word.value, word.expression, word.has_point, word.start + by, word.end + by, word.text, word.with_o)


def _shift_any(element: Any, by: int) -> Element:
    if isinstance(element, Flow) and element.then is not None:
        then = element.then
        element = replace(element, then=replace(then, start=then.start + by, end=then.end + by))
    moved: Element = replace(element, start=element.start + by, end=element.end + by)
    return moved


_SHIFTERS: dict[type, Callable[[Any, int], Element]] = {Word: _shift_word}


def number_of(digits: str) -> float:
    """The value of a number as the grammar knows it: blanks within have no meaning. Raises ValueError when it is too large."""
    value = float("".join(digits.split()))
    if abs(value) >= 10.0**MOST_DIGITS:
        raise ValueError(f"a number of at most {MOST_DIGITS} digits before the decimal point")
    return value


class _Part:
    """A piece of an expression while the tree is built: how to evaluate it and where it stands."""

    __slots__ = ("evaluate", "start", "end", "text", "constant", "is_group", "one_argument_atan", "operands")

    def __init__(self, evaluate: Evaluate, start: int, end: int, text: str, constant: float | None = None) -> None:
        self.evaluate, self.start, self.end, self.text, self.constant = evaluate, start, end, text, constant
        self.operands = 1
        self.is_group = False
        self.one_argument_atan: Evaluate | None = None


def _operands(parts: list[_Part]) -> int:
    """How many operands these parts have together. Raises ValueError when they are too many."""
    count = sum(part.operands for part in parts)
    if count > MOST_OPERANDS:
        raise ValueError(f"at most {MOST_OPERANDS} operands in one expression")
    return count


def _as_part(child: Any) -> _Part:
    """A number token becomes a constant; parts stay."""
    if isinstance(child, Token):
        value = number_of(child)
        return _Part(macros.constant(value), child.start_pos or 0, child.end_pos or 0, str(child), value)
    part: _Part = child
    return part


@v_args(inline=False)
class _Builder(Transformer[Token, Any]):
    """Turns the tree of a block into elements. Method names are the rules of the grammar."""

    def __init__(self, arithmetic: Arithmetic) -> None:
        super().__init__(visit_tokens=False)
        self._arithmetic = arithmetic

    def __default__(self, rule: Any, children: list[Any], meta: Any) -> Any:
        """Rules imported from the macro grammar carry its name in front."""
        return getattr(self, str(rule).removeprefix("macro__"))(children)

    # ------------------------------------------------------------------ block

    def block(self, children: list[Any]) -> tuple[Element, ...]:
        return tuple(children)

    o_block = block

    def skip(self, children: list[Any]) -> Skip:
        (token,) = children
        digits = token[1:].strip()
        return Skip(int(digits) if digits else 1, token.start_pos, token.end_pos)

    def tape(self, children: list[Any]) -> Tape:
        (token,) = children
        return Tape(token[1:].strip(), token.start_pos, token.end_pos)

    def label(self, children: list[Any]) -> Label:
        (token,) = children
        return Label(label_name(token), token.start_pos, token.end_pos)

    def word(self, children: list[Any]) -> Word:
        address = children[0]
        letter = "".join(address.split()).upper()
        start = address.start_pos
        if len(children) == 1:
            return Word(letter, None, None, False, start, address.end_pos)
        if isinstance(children[1], Token) and children[1].type == "NUMBER":
            token = children[1]
            return Word(letter, number_of(token), None, "." in token, start, _end(token))
        if isinstance(children[1], Token) and children[1].type == "TEXT":
            token = children[1]
            return Word(letter, None, None, False, start, _end(token), token.split('"')[1])
        if isinstance(children[1], Token) and children[1].type == "WITH_O":
            return Word(letter, None, None, False, start, _end(children[1]), with_o=True)
        part = self.signed(children[1:]) if len(children) == 3 else _as_part(children[1])
        return Word(letter, None, Expression(part.evaluate, part.text, part.constant), True, start, part.end)

    def assign(self, children: list[Any]) -> Assign:
        variable, expression = children[0], children[-1]
        target = Target(variable.number, variable.name, variable.text, variable.fixed)
        return Assign(target, self._expression(expression), variable.start, expression.end)

    def comment(self, children: list[Any]) -> Comment:
        (token,) = children
        closed = token.type != "OPEN_COMMENT"
        text = token[1:-1] if token.type == "COMMENT" else token[1:]
        return Comment(readable(text), token.start_pos, token.end_pos, closed)

    def output(self, children: list[Any]) -> Output:
        (token,) = children
        return Output(str(token), token.start_pos, token.end_pos)

    def other(self, children: list[Any]) -> Unread:
        start, end = children[0].start_pos, children[-1].end_pos
        return Unread("".join(children), start, end, ("a word", "a comment", "end of block"))

    # ------------------------------------------------------------------- flow

    def goto(self, children: list[Any]) -> Flow:
        word, target = children
        return Flow("goto", word.start_pos, _end(target), label=self._expression(_as_part(target)))

    def if_goto(self, children: list[Any]) -> Flow:
        word, condition, _, target = children
        label = self._expression(_as_part(target))
        return Flow("if_goto", word.start_pos, _end(target), condition=self._expression(condition), label=label)

    def if_then(self, children: list[Any]) -> Flow:
        word, condition, _, assign = children
        return Flow("if_then", word.start_pos, assign.end, condition=self._expression(condition), then=assign)

    def while_do(self, children: list[Any]) -> Flow:
        word, condition, _, number = children
        label = self._expression(_as_part(number))
        return Flow("while_do", word.start_pos, number.end_pos, condition=self._expression(condition), label=label)

    def do(self, children: list[Any]) -> Flow:
        word, number = children
        return Flow("do", word.start_pos, number.end_pos, label=self._expression(_as_part(number)))

    def end(self, children: list[Any]) -> Flow:
        word, number = children
        return Flow("end", word.start_pos, number.end_pos, label=self._expression(_as_part(number)))

    def _o_flow(self, kind: str, children: list[Any]) -> Flow:
        name, word, *groups = children
        parts = [self._expression(group) for group in groups]
        end = groups[-1].end if groups else word.end_pos
        condition = parts[0] if parts and kind != "call" else None
        arguments = tuple(parts) if kind == "call" else ()
        return Flow(kind, name.start_pos, end, label_name(name), condition, arguments=arguments)

    def o_label(self, children: list[Any]) -> Label:
        (name,) = children
        return Label(label_name(name), name.start_pos, name.end_pos)

    def o_sub(self, children: list[Any]) -> Flow:
        return self._o_flow("sub", children)

    def o_endsub(self, children: list[Any]) -> Flow:
        return self._o_flow("endsub", children)

    def o_return(self, children: list[Any]) -> Flow:
        return self._o_flow("return", children)

    def o_call(self, children: list[Any]) -> Flow:
        return self._o_flow("call", children)

    def o_if(self, children: list[Any]) -> Flow:
        return self._o_flow("if", children)

    def o_elseif(self, children: list[Any]) -> Flow:
        return self._o_flow("elseif", children)

    def o_else(self, children: list[Any]) -> Flow:
        return self._o_flow("else", children)

    def o_endif(self, children: list[Any]) -> Flow:
        return self._o_flow("endif", children)

    def o_while(self, children: list[Any]) -> Flow:
        return self._o_flow("while", children)

    def o_endwhile(self, children: list[Any]) -> Flow:
        return self._o_flow("endwhile", children)

    def o_do(self, children: list[Any]) -> Flow:
        return self._o_flow("do_while", children)

    def o_repeat(self, children: list[Any]) -> Flow:
        return self._o_flow("repeat", children)

    def o_endrepeat(self, children: list[Any]) -> Flow:
        return self._o_flow("endrepeat", children)

    def o_break(self, children: list[Any]) -> Flow:
        return self._o_flow("break", children)

    def o_continue(self, children: list[Any]) -> Flow:
        return self._o_flow("continue", children)

    # ------------------------------------------------------------ expressions

    def _expression(self, part: _Part) -> Expression:
        value = part.constant
        if value is None:
            return Expression(part.evaluate, part.text)
        return Expression(part.evaluate, part.text, value)

    def expression(self, children: list[Any]) -> _Part:
        parts = [_as_part(child) for child in children[::2]]
        operands = _operands(parts)
        operators = [str(token) for token in children[1::2]]
        text = parts[0].text + "".join(f" {o} {p.text}" for o, p in zip(operators, parts[1:], strict=True))
        start, end, known = parts[0].start, parts[-1].end, all(part.constant is not None for part in parts)
        self._join_atan(parts, operators)
        evaluate = macros.combined([part.evaluate for part in parts], operators, self._arithmetic)
        whole = _Part(evaluate, start, end, text, _constant(evaluate) if known else None)
        whole.operands = operands
        return whole

    def _join_atan(self, parts: list[_Part], operators: list[str]) -> None:
        """`ATAN[y]/[x]` is one function of two arguments, not a division."""
        for at in range(len(operators) - 1, -1, -1):
            y = parts[at].one_argument_atan
            if y is not None and operators[at] == "/" and parts[at + 1].is_group:
                both = macros.function("ATAN", (y, parts[at + 1].evaluate), self._arithmetic)
                parts[at : at + 2] = [_Part(both, parts[at].start, parts[at + 1].end, "")]
                del operators[at]

    def signed(self, children: list[Any]) -> _Part:
        *signs, last = children
        operand = _as_part(last)
        is_minus = signs.count("-") % 2 == 1
        evaluate = macros.negated(operand.evaluate) if is_minus else operand.evaluate
        value = None if operand.constant is None else (-operand.constant if is_minus else operand.constant)
        part = _Part(evaluate, signs[0].start_pos, operand.end, f"{'-' if is_minus else '+'}{operand.text}", value)
        part.operands = operand.operands
        return part

    def group(self, children: list[Any]) -> _Part:
        inner = children[1]
        part = _Part(inner.evaluate, children[0].start_pos, children[2].end_pos, f"[{inner.text}]", inner.constant)
        part.is_group, part.operands = True, inner.operands
        return part

    def function(self, children: list[Any]) -> _Part:
        name = children[0]
        arguments = [child for child in children[1:] if isinstance(child, _Part)]
        evaluate = macros.function(str(name), [part.evaluate for part in arguments], self._arithmetic)
        text = f"{name.upper()}[{', '.join(part.text for part in arguments)}]"
        known = all(part.constant is not None for part in arguments)
        part = _Part(evaluate, name.start_pos, children[-1].end_pos, text, _constant(evaluate) if known else None)
        part.operands = _operands(arguments)
        if name.upper() == "ATAN" and len(arguments) == 1:
            part.one_argument_atan = arguments[0].evaluate
        return part

    def numbered(self, children: list[Any]) -> "_Variable":
        mark, number = children[0], children[1]
        if isinstance(number, Token):
            fixed = int(number_of(number))
            return _Variable(macros.constant(float(fixed)), fixed, "", mark.start_pos, _end(number), f"#{fixed}")
        variable = _Variable(number.evaluate, None, "", mark.start_pos, number.end, f"#{number.text}")
        variable.operands = number.operands
        return variable

    def named(self, children: list[Any]) -> "_Variable":
        mark, token = children
        name = "".join(token[1:-1].split()).lower()
        return _Variable(None, None, name, mark.start_pos, token.end_pos, f"#<{name}>")


class _Variable(_Part):
    """A variable: what it reads, and what an assignment to it would write."""

    __slots__ = ("number", "fixed", "name")

    def __init__(self, number: Evaluate | None, fixed: int | None, name: str, start: int, end: int, text: str) -> None:
        super().__init__(macros.named(name) if number is None else macros.numbered(number, fixed), start, end, text)
        self.number, self.name = number, name
        self.fixed = fixed if fixed is not None and fixed < macros.VARIABLES_END else None


def _end(target: Any) -> int:
    return int(target.end_pos or 0) if isinstance(target, Token) else int(target.end)


class _NoVariables:
    def read(self, variable: int | str) -> float | None:
        raise MacroFault("no variable here")

    def write(self, variable: int | str, value: float | None) -> None:
        raise MacroFault("no variable here")


def _constant(evaluate: Evaluate) -> float | None:
    """The value of an expression without variables; None when the control would stop at it."""
    try:
        return evaluate(_NoVariables())
    except MacroFault:
        return None


def label_name(text: str) -> str:
    """A program number without its letter and leading zeros, or a name in <> in lower case."""
    text = "".join(text.split())
    if text[:1] in ("O", "o", ":"):
        text = text[1:]
    return text.lower() if text.startswith("<") else text.lstrip("0") or "0"


def readable(text: str) -> str:
    """A comment as people wrote it: UTF-8 where it is UTF-8, else the western one-byte page."""
    raw = text.encode("latin-1")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")
