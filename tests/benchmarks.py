"""Benchmarks: how long reading, interpreting and reviewing take, beside one tokenising pass over the same bytes.

    python tests/benchmarks.py            everything, medians of five
    python tests/benchmarks.py finishing  one of: finishing drilling macro growth start-up folder

Inputs are generated, the same every time. A ratio says more than seconds: both passes run in one process on one machine.
Each measured review runs in a process of its own, so that its peak memory is its own.
"""

import json
import platform
import random
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

RUNS = 5
TOKENS = re.compile(rb"[A-Za-z][ \t]*[+-]?[0-9.]+|\([^)]*\)|[\r\n]+")


def finishing(blocks: int) -> bytes:
    """A 3-D finishing program: almost nothing but X Y Z."""
    chance = random.Random(1)
    lines = [
        "%",
        "O1000(FINISHING)",
        "G21G17G40G49G80G90G94",
        "T4M6(BALL MILL 6.)",
        "G0G54X0.Y0.S12000M3",
        "G43H4Z50.M8",
        "G1Z0.F3000.",
    ]
    x = y = z = 0.0
    for _ in range(blocks):
        x += chance.uniform(-0.5, 0.5)
        y += chance.uniform(-0.5, 0.5)
        z = -10 + chance.uniform(-5, 5)
        lines.append(f"X{x + 100:.3f}Y{y + 100:.3f}Z{z:.3f}")
    lines += ["G0Z50.", "M9", "M5", "G91G28Z0.", "M30", "%", ""]
    return "\n".join(lines).encode()


def drilling(blocks: int) -> bytes:
    """A plate of holes: one modal series."""
    lines = [
        "%",
        "O2000(PLATE)",
        "G21G17G40G49G80G90G94",
        "T5M6(8.5 DRILL)",
        "G0G54X0.Y0.S3000M3",
        "G43H5Z50.M8",
        "G99G83Z-30.R2.Q5.F600.",
    ]
    lines += [f"X{i % 400 * 10.0:.1f}Y{i // 400 * 10.0:.1f}" for i in range(1, blocks)]
    lines += ["G80", "M9", "M5", "G91G28Z0.", "M30", "%", ""]
    return "\n".join(lines).encode()


def macro(moves: int) -> bytes:
    """A loop that computes every move."""
    lines = [
        "%",
        "O3000(SPIRAL)",
        "G21G17G40G49G80G90G94",
        "T4M6(END MILL 10.)",
        "G0G54X0.Y0.S8000M3",
        "G43H4Z50.M8",
        "G1Z-1.F800.",
        "#1=0",
    ]
    lines += [
        f"WHILE[#1LT{moves}]DO1",
        "#2=#1*.5",
        "X[10.*COS[#2]]Y[10.*SIN[#2]]",
        "#1=#1+1",
        "END1",
        "G0Z50.",
        "M9",
        "M5",
        "M30",
        "%",
        "",
    ]
    return "\n".join(lines).encode()


def small() -> bytes:
    """A program of some 50 blocks."""
    return finishing(38)


def measured(program: Path, what: str) -> dict[str, float]:
    """One run of `what` on `program` in a process of its own: seconds inside it, and its peak memory in MB."""
    code = {
        "read": "Program.read(data, 'p.nc', load_dialect())",
        "interpret": "interpret(Program.read(data, 'p.nc', load_dialect()))",
        "review": "review_file(path, Settings())",
        "trace": "sum(1 for _ in trace(interpret(Program.read(data, 'p.nc', load_dialect()))))",
    }[what]
    source = f"""
import json, re, resource, time
from pathlib import Path
from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.program import Program
from coolcheck.nc.interpret import interpret
from coolcheck.nc.trace import trace
from coolcheck.folder.one import Settings, review_file
path = Path({str(program)!r})
data = path.read_bytes()
tokens = re.compile({TOKENS.pattern!r})
start = time.perf_counter(); found = tokens.findall(data); token_pass = time.perf_counter() - start; del found
start = time.perf_counter(); {code}; seconds = time.perf_counter() - start
print(json.dumps(dict(token_pass=token_pass, seconds=seconds, megabytes=resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)))
"""
    done = subprocess.run([sys.executable, "-c", source], capture_output=True, text=True, check=True)
    found: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return found


def row(name: str, data: bytes, what: str, folder: Path, moves: int | None = None) -> None:
    """One line of the table: medians of the runs."""
    path = folder / f"{name.split()[0]}.nc"
    path.write_bytes(data)
    runs = [measured(path, what) for _ in range(RUNS)]
    seconds, tokens = (statistics.median(run[key] for run in runs) for key in ("seconds", "token_pass"))
    ratio = statistics.median(run["seconds"] / run["token_pass"] for run in runs)
    memory = statistics.median(run["megabytes"] for run in runs)
    rate = f"{moves / seconds:12,.0f} moves/s" if moves else ""
    print(
        f"{name:34} {what:10} {seconds:8.3f} s  tokens {tokens:7.3f} s  ratio {ratio:6.2f}  peak {memory:6.0f} MB {rate}",
        flush=True,
    )


def bench_finishing(folder: Path) -> None:
    data = finishing(1_000_000)
    for what in ("read", "interpret", "review"):
        row(f"finishing 1,000,000 ({len(data) / 1e6:.0f} MB)", data, what, folder)


def bench_drilling(folder: Path) -> None:
    for what in ("interpret", "review"):
        row("drilling 100,000 blocks", drilling(100_000), what, folder)


def bench_macro(folder: Path) -> None:
    for what in ("interpret", "review"):
        row("macro 300,000 moves", macro(300_000), what, folder, 300_000)


def bench_growth(folder: Path) -> None:
    for blocks in (10_000, 100_000, 1_000_000):
        for what in ("trace", "review"):
            row(f"growth {blocks:,} blocks", finishing(blocks), what, folder)


def elapsed(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, capture_output=True, check=False)
    return time.perf_counter() - start


def bench_start_up(folder: Path) -> None:
    path = folder / "small.nc"
    path.write_bytes(small())
    bare = statistics.median(elapsed([sys.executable, "-c", "pass"]) for _ in range(RUNS))
    for name, arguments in (("--version", ["--version"]), ("review of 50 blocks", ["review", str(path), "--fail-on", "never"])):
        whole = statistics.median(elapsed([sys.executable, "-m", "coolcheck", *arguments]) for _ in range(RUNS))
        print(f"start-up {name:25} {(whole - bare) * 1000:6.0f} ms over bare Python ({bare * 1000:.0f} ms)", flush=True)


def bench_folder(folder: Path) -> None:
    many = folder / "many"
    many.mkdir()
    for number in range(1000):
        (many / f"O{number:04}.nc").write_bytes(finishing(490).replace(b"O1000", f"O{number:04}".encode()))
    command = [sys.executable, "-m", "coolcheck", "folder", str(many), "--fail-on", "never"]
    print(f"folder of 1,000 programs, first run   {elapsed(command):6.2f} s", flush=True)
    print(f"folder of 1,000 programs, unchanged   {elapsed(command):6.2f} s", flush=True)
    (many / "O0500.nc").write_bytes(finishing(491))
    print(f"folder of 1,000 programs, one changed {elapsed(command):6.2f} s", flush=True)


BENCHES: dict[str, Callable[[Path], None]] = {
    "finishing": bench_finishing,
    "drilling": bench_drilling,
    "macro": bench_macro,
    "growth": bench_growth,
    "start-up": bench_start_up,
    "folder": bench_folder,
}

if __name__ == "__main__":
    print(f"Python {platform.python_version()}, {platform.machine()}, medians of {RUNS}")
    with tempfile.TemporaryDirectory() as place:
        for chosen in sys.argv[1:] or BENCHES:
            BENCHES[chosen](Path(place))
