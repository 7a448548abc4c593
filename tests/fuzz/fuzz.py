"""Coverage-guided fuzzing of what reads text, run by hand:

    pip install atheris
    python tests/fuzz/fuzz.py reader -max_total_time=300
    python tests/fuzz/fuzz.py condition -max_total_time=300 corpus/

atheris changes inputs so that they reach code that none has reached before; what fails lies in `crash-…`. It asks the properties of
tests/properties.py, begins with the samples, and takes the options of libFuzzer. No test run needs it.
"""

import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import atheris

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

with atheris.instrument_imports(include=["coolcheck", "lark"]):
    from tests import properties
    from tests.strategies import DIALECTS, Case


def reader(data: bytes) -> None:
    """The first byte chooses the dialect, the rest is read and run."""
    dialect = DIALECTS[data[0] % len(DIALECTS)] if data else DIALECTS[0]
    properties.is_read_without_loss(data[1:], dialect)
    properties.runs_within_bounds(Case(data[1:], dialect))


def condition(data: bytes) -> None:
    """The first byte chooses the scope."""
    scopes = sorted(properties.process_words(properties.TODAY).scopes)
    properties.is_condition_or_refused(data[1:].decode("utf-8", "replace"), scopes[data[0] % len(scopes)] if data else scopes[0])


def records(data: bytes) -> None:
    """YAML and records."""
    properties.is_read_or_refused(data)


TARGETS: dict[str, Callable[[bytes], None]] = {"reader": reader, "condition": condition, "records": records}


def seeds(target: str) -> Iterator[bytes]:
    """What to begin with: the sample programs, the conditions of the shipped rules, the sample records."""
    if target == "reader":
        yield from (
            b"\0" + block for path in (ROOT / "samples/programs").glob("*.nc") for block in path.read_bytes().split(b"\n")
        )
    elif target == "condition":
        rows = (row.strip() for path in (ROOT / "rules").glob("*.yaml") for row in path.read_bytes().split(b"\n"))
        yield from (b"\0" + row.removeprefix(b"when:").strip() for row in rows if row.startswith(b"when:"))
    else:
        yield from (path.read_bytes() for path in (ROOT / "samples").rglob("*.yaml"))


def main() -> None:
    """Fuzzes the target that the first argument names."""
    if len(sys.argv) < 2 or sys.argv[1] not in TARGETS:
        sys.exit(f"usage: fuzz.py {{{'|'.join(TARGETS)}}} [options of libFuzzer] [folder of inputs]")
    target = sys.argv.pop(1)
    with tempfile.TemporaryDirectory() as folder:
        for number, seed in enumerate(seeds(target)):
            (Path(folder) / str(number)).write_bytes(seed)
        own = [argument for argument in sys.argv[1:] if not argument.startswith("-")]
        atheris.Setup([*sys.argv, folder] if own else [*sys.argv, tempfile.mkdtemp(), folder], TARGETS[target])
        atheris.Fuzz()


if __name__ == "__main__":
    main()
