"""Reads the text of a condition into a tree, and says where in the rule file a mistake stands.

The grammar is grammars/condition.lark. The parser is made when the first condition is read, and once.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from lark import Lark, Token, Tree
from lark.exceptions import UnexpectedCharacters, UnexpectedInput, UnexpectedToken

from coolcheck.errors import Problem, RuleError
from coolcheck.place import Place
from coolcheck.shipped import shipped

DEEPEST = 40  # brackets and `not` inside each other; a condition that needs more cannot be read by a person either
LONGEST = 4000  # characters of one condition

# What people are told may stand at a place, by terminal of the grammar.
_CALLED = {
    "NAME": "a name",
    "NUMBER": "a number",
    "UNIT": "a unit",
    "QUOTED": 'words in "quotes"',
    "RELATION": "> >= < <= or =",
    "QUANTIFIER": "some, every or no",
    "FOLLOWED": "`followed by a`",
    "IS": "is",
    "IS_NOT": "`is not`",
    "IS_ONE_OF": "`is one of`",
    "IS_NONE_OF": "`is none of`",
    "INCLUDES": "includes",
    "AND": "and",
    "OR": "or",
    "NOT": "not",
    "CALLED": "called",
    "LPAR": "(",
    "RPAR": ")",
    "COMMA": "a comma",
    "PLUS": "+",
    "MINUS": "-",
    "STAR": "*",
    "SLASH": "/",
    "$END": "the end",
}


@dataclass(frozen=True)
class Source:
    """The text of a condition and where it stands in its file.

    `written` is the file from the start of the value on, as the person wrote it; `place` is where that starts. YAML folds
    the line breaks of a plain value, so a position is found by counting what is not blank, which folding keeps.
    """

    text: str
    place: Place = Place("condition", 1, 1)
    written: str = ""

    def at(self, position: int) -> Place:
        """The place in the file of the character at `position` of the text."""
        written = self.written or self.text
        if position and position >= len(self.text.rstrip()):  # behind the end: behind its last character, not before what follows
            last = self.at(len(self.text.rstrip()) - 1)
            return Place(last.file, last.line, last.column + 1)
        ink = sum(1 for character in self.text[:position] if not character.isspace())
        line, column = self.place.line, self.place.column
        for character in written:
            if not character.isspace():
                if ink == 0:
                    break
                ink -= 1
            if character == "\n":
                line, column = line + 1, 1
            else:
                column += 1
        return Place(self.place.file, line, column)

    def problem(self, position: int, says: str, do: str = "") -> Problem:
        """A problem at that position; the line of the file and a caret stand below what it says."""
        place = self.at(position)
        lines = (self.written or self.text).split("\n")
        row = place.line - self.place.line
        before = " " * (self.place.column - 1) if row == 0 else ""
        line = before + (lines[row] if row < len(lines) else "")
        indent = len(line) - len(line.lstrip())
        return Problem(
            place, f"{says}\n    {line.strip()}\n    {' ' * max(place.column - 1 - indent, 0)}^", do
        )  # fmt: skip


class ConditionError(Exception):
    """A mistake at a position of a condition; `read_condition` and the checker turn it into a RuleError."""

    def __init__(self, position: int, says: str, do: str = "") -> None:
        super().__init__(says)
        self.position = position
        self.says = says
        self.do = do


@cache
def _parser() -> Lark:
    grammar = (shipped("grammars") / "condition.lark").read_text(encoding="utf-8")
    return Lark(grammar, parser="lalr", lexer="contextual")


def parsed(source: Source) -> Tree[Token]:
    """The tree of a condition. Raises RuleError that points at the mistake."""
    try:
        _bounded(source.text)
        return _parser().parse(source.text)
    except UnexpectedInput as wrong:
        raise RuleError(_explained(source, wrong)) from None
    except ConditionError as wrong:
        raise RuleError(source.problem(wrong.position, wrong.says, wrong.do)) from None


def _bounded(text: str) -> None:
    """Refuses what nobody can read and a recursive walk could not bear."""
    if len(text) > LONGEST:
        raise ConditionError(LONGEST, f"the condition is longer than {LONGEST} characters", "make two rules of it")
    depth = 0
    for position, character in enumerate(text):
        depth += (character == "(") - (character == ")")
        if depth > DEEPEST:
            raise ConditionError(position, f"more than {DEEPEST} brackets inside each other", "make two rules of it")


def _explained(source: Source, wrong: UnexpectedInput) -> Problem:
    position = wrong.pos_in_stream if wrong.pos_in_stream is not None else len(source.text)
    if isinstance(wrong, UnexpectedToken):
        if wrong.token.type == "$END":
            return source.problem(len(source.text.rstrip()), f"the condition ends here; expected: {_expected(wrong.expected)}")
        return source.problem(position, f"`{wrong.token}` cannot stand here; expected: {_expected(wrong.expected)}")
    expected = wrong.allowed if isinstance(wrong, UnexpectedCharacters) and wrong.allowed else set()
    text = source.text[position : position + 1]
    return source.problem(position, f"`{text}` cannot stand here; expected: {_expected(expected)}")


def _expected(terminals: Iterable[str]) -> str:
    return ", ".join(sorted(_CALLED.get(name, name.lower()) for name in terminals if name != "__IGNORE_0")) or "the end"


def nearest(name: str, known: Iterable[str]) -> str:
    """The nearest known spellings, as the end of a message; "" when none is near."""
    close = get_close_matches(name, list(known), n=2, cutoff=0.6)
    return "did you mean " + " or ".join(f"`{word}`" for word in close) + "?" if close else ""
