"""One rule, as read from a rule file."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from coolcheck.errors import Problem, RuleError
from coolcheck.judge.condition import Condition, condition
from coolcheck.judge.language import Source
from coolcheck.judge.template import Template
from coolcheck.judge.terms import Limit
from coolcheck.judge.vocabulary import Vocabulary
from coolcheck.place import Place

MENDED_AT = (
    "machine",
    "tool",
    "holder",
    "fluid",
    "program",
    "record",
)  # hardest first: what must be bought before what is written
TOGETHER = ("tool", "program")
MENDS = {  # what each rewrite does, where it can be proved
    "single_pass": "turns the pecks into one stroke",
    "edge_regime": "keeps the edge in one regime, wet or dry",
    "fluid_before_cut": "turns the fluid on before the first contact",
    "build_up_dwell": "gives the pressure time to build up",
    "fluid_off_before_change": "turns the fluid off before the change, the stop or the end",
    "fluid_off_unneeded": "leaves out the fluid that this cut must not have or does not need",
    "machine_code": "writes the code that this machine uses",
}


@dataclass(frozen=True, eq=False)
class Rule:
    """One rule. A rule of scope `note` has no condition: it gives level and advice to what reading a program reports.

    together : "tool" when one finding tells of one tool, "program" when one tells of all
    at : where the finding points: a named member of the condition, or a fact whose block it is; "" for the object itself
    mends : name of the rewrite that mends it, "" for none; mended_at : where the remedy lies, one of MENDED_AT
    off : why a shop has switched it off, "" when it is on; ships : does it come with coolcheck
    """

    id: str
    group: str
    scope: str
    level: str
    why: str
    do: Template
    basis: str
    mended_at: str
    place: Place
    when: Source | None = None
    says: Template = Template("")
    asks: Template = Template("")
    limits: Mapping[str, Limit] = field(default_factory=dict)
    at: str = ""
    together: str = "tool"
    mends: str = ""
    off: str = ""
    ships: bool = True
    _read: dict[int, tuple[Vocabulary, Condition]] = field(default_factory=dict, repr=False, compare=False)

    def condition(self, vocabulary: Vocabulary) -> Condition:
        """Its condition, checked against the vocabulary once. Raises RuleError; ValueError for a rule of scope `note`."""
        if self.when is None:
            raise ValueError(f"{self.id} has no condition")
        if id(vocabulary) not in self._read:
            self._read[id(vocabulary)] = (vocabulary, self._checked(vocabulary, self.when))
        return self._read[id(vocabulary)][1]

    def _checked(self, vocabulary: Vocabulary, when: Source) -> Condition:
        if self.scope not in vocabulary.scopes:
            says = f"the rule {self.id} has the unknown scope `{self.scope}`"
            raise RuleError(Problem(self.place, says, "the scopes are " + ", ".join([*vocabulary.scopes, "note"])))
        read = condition(when, self.scope, vocabulary, self.limits)
        problems = [
            problem for text in (self.says, self.asks, self.do) for problem in text.problems(read, self.limits, vocabulary)
        ]
        if self.at and self.at not in read.names and vocabulary.fact(self.scope, self.at) is None:
            do = "name a member there: `some passage called … (…)`, or a fact of its scope"
            problems.append(Problem(self.place, f"`at: {self.at}` names nothing in the condition of {self.id}", do))
        if problems:
            raise RuleError(problems)
        return read
