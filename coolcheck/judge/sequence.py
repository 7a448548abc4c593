"""Some object that fits, followed by another that fits: sequences by Kleene logic, in one walk."""

from dataclasses import dataclass
from typing import Any

from coolcheck.judge.scene import Scene, Value
from coolcheck.known import Known, Truth, every, some


@dataclass(frozen=True)
class Sequence:
    """Some object that fits the first member, followed (at once, or later) by one that fits the next, and so on."""

    members: tuple[tuple[str, Value], ...]
    at_once: tuple[bool, ...]

    def found(self, scene: Scene, scenes: list[Scene]) -> Truth:
        """Kleene truth of the sequence; the objects it was found at are kept in `scene.met` by their names.

        Walks once: `ending[k]` is the truth that the first k + 1 members are found with the last of them right here,
        `before[k]` that they are found anywhere up to here.
        """
        last = len(self.members) - 1
        before: list[_Found] = [_NOWHERE] * len(self.members)
        previous: list[_Found] = [_NOWHERE] * len(self.members)
        for inner in scenes:
            ending = []
            for position, (name, ask) in enumerate(self.members):
                earlier = _START
                if position:
                    earlier = previous[position - 1] if self.at_once[position - 1] else before[position - 1]
                ending.append(earlier.then(name, inner, ask))
            before = [one.or_else(other) for one, other in zip(before, ending, strict=True)]
            previous = ending
            if before[last].truth.is_yes:
                break
        found = before[last]
        if not found.truth.is_no:
            scene.met.update(found.met)
        return found.truth


@dataclass(frozen=True, slots=True)
class _Found:
    """A truth, and the objects that make it so."""

    truth: Truth
    met: tuple[tuple[str, tuple[str, Any]], ...] = ()

    def then(self, name: str, scene: Scene, ask: Value) -> "_Found":
        """This, and now also `ask` of `scene`."""
        if self.truth.is_no:
            return self
        truth = every((self.truth, ask(scene)))
        return _Found(truth, (*self.met, *scene.met.items(), *(((name, (scene.scope, scene.item)),) if name else ())))

    def or_else(self, other: "_Found") -> "_Found":
        """Either: the one that is yes, else the first that is not no, stands for it."""
        truth = some((self.truth, other.truth))
        stands = self if self.truth.is_yes or (not self.truth.is_no and not other.truth.is_yes) else other
        return _Found(truth, stands.met)


_NOWHERE = _Found(Known(False, True))
_START = _Found(Known(True, True))
