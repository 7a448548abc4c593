"""The house itself: imports follow the arrows, nothing imports itself in a circle, every module says what it is."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "coolcheck"
GROUND = {"place", "known", "errors", "later", "shipped", "yamltext", "__init__"}
MAY_IMPORT = {
    "nc": set(),
    "physics": set(),
    "records": {"nc"},  # `records start` reads a program to write a first job folder
    "process": {"nc", "records", "physics"},
    "judge": {"nc", "records", "physics", "process"},
    "rewrite": {"nc", "records", "physics", "process", "judge"},
    "report": {"nc", "records", "process", "judge"},
    "folder": {"nc", "records", "process", "judge", "report", "rewrite"},
    "cli": {"nc", "records", "physics", "process", "judge", "rewrite", "report", "folder"},
}
MODULES = sorted(PACKAGE.rglob("*.py"))


def imports(path: Path) -> set[str]:
    """The modules of ours that a file imports, wherever in the file it does so."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("coolcheck"):
            found |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names if alias.name.startswith("coolcheck")}
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_follow_the_arrows(path: Path) -> None:
    room = path.relative_to(PACKAGE).parts[0]
    if room not in MAY_IMPORT:
        return
    entered = {name.split(".")[1] for name in imports(path) if name.count(".") >= 1}

    assert entered - GROUND - {room} - {"__version__"} <= MAY_IMPORT[room]


def test_the_ground_stands_on_nothing_above_it() -> None:
    for name in GROUND - {"__init__"}:
        entered = {module.split(".")[1] for module in imports(PACKAGE / f"{name}.py") if module.count(".") >= 1}
        assert entered <= GROUND, name


def test_no_module_imports_itself_in_a_circle() -> None:
    names = {module_name(path): path for path in MODULES}
    graph = {name: imports_at_top(path, names) - {name} for name, path in names.items()}
    done: set[str] = set()

    def visit(name: str, way: tuple[str, ...]) -> None:
        assert name not in way, " → ".join([*way[way.index(name) :], name])
        if name in done:
            return
        for further in sorted(graph[name]):
            visit(further, (*way, name))
        done.add(name)

    for name in graph:
        visit(name, ())


def module_name(path: Path) -> str:
    return ".".join(["coolcheck", *path.relative_to(PACKAGE).with_suffix("").parts]).removesuffix(".__init__")


def imports_at_top(path: Path, names: dict[str, Path]) -> set[str]:
    """What a file imports when it is loaded: not inside functions, not for type checking only. A module of a package is itself."""
    found = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.ImportFrom) and node.module in names:
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                found.add(inner if inner in names else node.module)
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_every_module_says_what_it_is(path: Path) -> None:
    assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
