"""The one exception tree. A user never sees a traceback of these: the command line prints them and exits 2.

CoolcheckError
├── InputError          a file the user gave is wrong; says where, what was expected, what to do
│   ├── RecordError     a machine, holder, tool, material, fluid or job record
│   ├── RuleError       a rule file, or the condition inside it
│   └── DialectError    a dialect record
├── LimitReached        a stated bound (size, time, memory, depth) was reached
└── RewriteRefused      a rewrite that could not be proved; nothing was written
"""

from coolcheck.place import Place


class CoolcheckError(Exception):
    """Anything coolcheck stops for and can explain."""


class InputError(CoolcheckError):
    """A file the user gave is wrong. `problems` holds every one found, each with its place."""

    def __init__(self, problems: "list[Problem] | Problem") -> None:
        self.problems: tuple[Problem, ...] = tuple(problems) if isinstance(problems, list) else (problems,)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class RecordError(InputError):
    """A record that cannot be used."""


class RuleError(InputError):
    """A rule, or its condition, that cannot be used."""


class DialectError(InputError):
    """A dialect record that cannot be used."""


class LimitReached(CoolcheckError):
    """A stated bound was reached; the message names the bound and the option that moves it."""


class RewriteRefused(CoolcheckError):
    """A rewrite that was not proved. Nothing was written."""


def advice(text: str) -> str:
    """What to do, as a sentence: a capital where it begins with a word of ours, and a full stop.

    >>> advice("write `M9` before it"), advice("did you mean `M9`?"), advice("M9 belongs there"), advice("")
    ('Write `M9` before it.', 'Did you mean `M9`?', 'M9 belongs there.', '')
    """
    text = text.strip()
    first = text.split(maxsplit=1)[0] if text else ""
    if first.rstrip(",:;").isalpha() and first.islower() and first != "coolcheck":
        text = text[0].upper() + text[1:]
    return text if not text or text[-1] in ".?!:…" else f"{text}."


class Problem:
    """One thing wrong in one place: what it is, what may stand there, what to do."""

    __slots__ = ("place", "says", "do")

    def __init__(self, place: Place, says: str, do: str = "") -> None:
        self.place = place
        self.says = says
        self.do = advice(do)

    def __str__(self) -> str:
        return f"{self.place}: error: {self.says}" + (f"\n    do       {self.do}" if self.do else "")

    def __repr__(self) -> str:
        return f"Problem({str(self)!r})"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Problem) and (self.place, self.says, self.do) == (other.place, other.says, other.do)

    def __hash__(self) -> int:
        return hash((self.place, self.says, self.do))
