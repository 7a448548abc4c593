"""Every public function of the physics package says its units, result, range and source, with an example that runs."""

import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable
from pathlib import Path

import pytest

import coolcheck.physics as physics

PACKAGE = Path(physics.__file__).parent
MODULES = [importlib.import_module(f"coolcheck.physics.{found.name}") for found in pkgutil.iter_modules([str(PACKAGE)])]
# Shop units have no place in a package that speaks SI: records and reports turn them. The degree Celsius is an SI unit.
SHOP_UNITS = re.compile(r"(?<![a-zA-Z])(mm[23]?|cm|um|µm|inch|in|bar|MPa|GPa|kPa|psi|deg|rpm|min|kW|hp|[lL]/min|lbf)(?![a-zA-Z])")


def public_functions() -> list[Callable[..., object]]:
    return [
        function
        for module in MODULES
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if not name.startswith("_") and function.__module__ == module.__name__
    ]


def named(function: Callable[..., object]) -> str:
    return f"{function.__module__.rsplit('.', 1)[1]}.{function.__name__}"


def faults(function: Callable[..., object]) -> list[str]:
    """What the docstring of a physics function lacks."""
    doc = inspect.getdoc(function) or ""
    found = []
    if not re.match(r"[^\n]+[.?:]\n\n", doc + "\n\n"):
        found.append("a first line that says what it gives, with a full stop")
    for name in [*inspect.signature(function).parameters, "returns"]:
        line = re.search(rf"^{name} : .*(?:\n    .*)*", doc, re.MULTILINE)
        unit = re.search(r"\[([^\]]+)\]", line.group()) if line else None
        if not line:
            found.append(f"a line '{name} : …'")
        elif not unit:
            found.append(f"the unit of {name} in brackets")
        elif SHOP_UNITS.search(unit.group(1)):
            found.append(f"SI instead of [{unit.group(1)}] for {name}")
    found += [f"a line '{word} …'" for word in ("Valid:", "Source:") if not re.search(rf"^{word} \S", doc, re.MULTILINE)]
    examples = doctest.DocTestParser().get_examples(doc)
    if not any(example.want for example in examples):
        found.append("an example with its output")
    return found


@pytest.mark.parametrize("function", public_functions(), ids=named)
def test_a_physics_function_says_its_units_source_and_range(function: Callable[..., object]) -> None:
    assert not faults(function), f"{named(function)} lacks: " + "; ".join(faults(function))


@pytest.mark.parametrize("function", public_functions(), ids=named)
def test_the_example_of_a_physics_function_runs(function: Callable[..., object]) -> None:
    finder, runner = doctest.DocTestFinder(recurse=False), doctest.DocTestRunner(verbose=False)
    for example in finder.find(function, named(function)):
        runner.run(example)

    assert runner.summarize(verbose=False).attempted > 0
    assert runner.summarize(verbose=False).failed == 0


def test_the_house_rule_notices_each_thing_that_is_missing() -> None:
    def bare(length: float) -> float:
        return length

    def shop(length: float) -> float:
        """The same length.

        length : a length [mm]
        returns : it

        Valid: always.
        """
        return length

    assert len(faults(bare)) == 6
    assert faults(shop) == [
        "SI instead of [mm] for length",
        "the unit of returns in brackets",
        "a line 'Source: …'",
        "an example with its output",
    ]


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rsplit(".", 1)[1])
def test_a_physics_module_imports_nothing_else_of_ours(module: object) -> None:
    text = inspect.getsource(module)  # type: ignore[arg-type]

    imported = re.findall(r"^\s*(?:from|import) (coolcheck[\w.]*)", text, re.MULTILINE)

    assert all(name.startswith("coolcheck.physics") for name in imported)


@pytest.mark.parametrize("path", sorted((PACKAGE / "tables").glob("*.csv")), ids=lambda path: path.stem)
def test_a_table_names_its_source_and_how_it_was_read(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    columns = next(line for line in lines if not line.startswith("# ")).split(",")

    assert lines[0].startswith("# ") and len(lines[0]) > 30
    assert lines[1].startswith("# Reading: ")
    assert len(columns) > 1


def test_every_table_is_read_by_some_function_or_checked_by_a_test() -> None:
    readers = [*PACKAGE.glob("*.py"), *Path(__file__).parents[1].glob("p*/test_*.py")]
    texts = [path.read_text(encoding="utf-8") for path in readers]

    unread = {path.stem for path in (PACKAGE / "tables").glob("*.csv")}
    unread = {table for table in unread if not any(f'"{table}"' in text for text in texts)}

    assert unread == set()
