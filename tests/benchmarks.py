"""Benchmarks: how long reading, interpreting and reviewing take, beside one tokenising pass over the same bytes.

    python tests/benchmarks.py            everything, medians of five
    python tests/benchmarks.py finishing  some of: finishing drilling macro growth start-up folder

Inputs are generated, the same every time. A ratio says more than seconds: both passes run in one process on one machine.
Each measured review runs in a process of its own, so that its peak memory is its own. CPU seconds stand beside the clock's: on
a machine with other work to do the clock tells of that work. Bytecode is kept, as in an installed package, and the caches of
reviews lie in a folder that goes away.
"""

import json
import os
import platform
import random
import re
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

RUNS = 5
ROOT = Path(__file__).resolve().parent.parent
SAMPLE = ROOT / "samples" / "programs" / "manifold-drill-tap.nc"
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


def manifold(number: int) -> bytes:
    """The sample program of six tools with more holes, some 500 blocks."""
    lines = []
    for line in SAMPLE.read_text(encoding="ascii").splitlines():
        lines.append(line.replace("O2104", f"O{number:04}"))
        if re.match(r"N\d+ G9[89] G8\d", line):
            lines += [f"X{15 + hole % 10 * 9}. Y{15 + hole // 10 * 7}." for hole in range(68)]
    return "\n".join(lines).encode()


def measured(program: Path, what: str) -> dict[str, float]:
    """One run of `what` on `program` in a process of its own: seconds inside it, and its peak memory in MB."""
    code = {
        "read": "Program.read(data, 'p.nc', load_dialect())",
        "interpret": "interpret(Program.read(data, 'p.nc', load_dialect()))",
        "review": "review_file(path, Settings())",
        "trace": "sum(1 for _ in trace(interpret(Program.read(data, 'p.nc', load_dialect()))))",
    }[what]
    source = f"""
import gc, json, re, resource, time
from pathlib import Path
from coolcheck.cli.start import OBJECTS_BETWEEN
from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.program import Program
from coolcheck.nc.interpret import interpret
from coolcheck.nc.trace import trace
from coolcheck.folder.one import Settings, review_file
gc.set_threshold(OBJECTS_BETWEEN, 20, 20)  # as the commands do
path = Path({str(program)!r})
data = path.read_bytes()
tokens = re.compile({TOKENS.pattern!r})
start = time.perf_counter(); found = tokens.findall(data); token_pass = time.perf_counter() - start; del found
start, cpu = time.perf_counter(), time.process_time()
{code}
seconds, cpu = time.perf_counter() - start, time.process_time() - cpu
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
print(json.dumps(dict(token_pass=token_pass, seconds=seconds, cpu=cpu, megabytes=peak)))
"""
    done = subprocess.run([sys.executable, "-c", source], capture_output=True, text=True, check=True)
    found: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return found


def row(name: str, data: bytes, what: str, folder: Path, moves: int | None = None) -> None:
    """One line of the table: medians of the runs."""
    path = folder / f"{name.split()[0]}.nc"
    path.write_bytes(data)
    runs = [measured(path, what) for _ in range(RUNS)]
    seconds, cpu, tokens, memory = (
        statistics.median(run[key] for run in runs) for key in ("seconds", "cpu", "token_pass", "megabytes")
    )
    ratio = statistics.median(run["seconds"] / run["token_pass"] for run in runs)
    rate = f"  {moves / seconds:9,.0f} moves/s" if moves else ""
    passes = f"tokens {tokens:6.3f} s  ratio {ratio:6.2f}"
    print(f"{name:28} {what:10} {seconds:7.3f} s  CPU {cpu:7.3f} s  {passes}  {memory:5.0f} MB{rate}", flush=True)


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
            row(f"finishing {blocks:,} blocks", finishing(blocks), what, folder)
    for blocks in (1_000, 10_000, 100_000):
        row(f"drilling {blocks:,} blocks", drilling(blocks), "review", folder)


def elapsed(command: list[str]) -> tuple[float, float]:
    """Seconds by the clock and of CPU that a command takes, with the processes it starts."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(command, capture_output=True, check=True)
    seconds, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    return seconds, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def bench_start_up(folder: Path) -> None:
    path = folder / "small.nc"
    path.write_bytes(small())
    commands = {
        "bare Python": ["-c", "pass"],
        "--version": ["-m", "coolcheck", "--version"],
        "review of 50 blocks": ["-m", "coolcheck", "review", str(path), "--fail-on", "never"],
        "review of a sample with its job": ["-m", "coolcheck", "review", str(SAMPLE), "--fail-on", "never"],
    }
    bare = (0.0, 0.0)
    for name, arguments in commands.items():
        elapsed([sys.executable, *arguments])  # the first time it is compiled
        runs = [elapsed([sys.executable, *arguments]) for _ in range(RUNS)]
        seconds, cpu = (statistics.median(kind) * 1000 for kind in zip(*runs, strict=True))
        print(f"start-up {name:35} {seconds - bare[0]:6.0f} ms  CPU {cpu - bare[1]:6.0f} ms", flush=True)
        bare = bare if any(bare) else (seconds, cpu)


def bench_folder(folder: Path) -> None:
    plain = folder / "plain"
    plain.mkdir()
    for number in range(1000):
        (plain / f"O{number:04}.nc").write_bytes(finishing(490).replace(b"O1000", f"O{number:04}".encode()))
    review_folder("1,000 finishing programs", plain, plain / "O0500.nc", finishing(491))
    shop = folder / "shop"
    shutil.copytree(ROOT / "samples", shop, ignore=shutil.ignore_patterns("*.nc", "guides"))
    job = shop / "manifold-drill-tap.job.yaml"
    for other in set(shop.glob("*.job.yaml")) - {job}:
        other.unlink()
    job.write_text(job.read_text(encoding="utf-8").replace("programs/manifold-drill-tap.nc", "posted/*.nc"), encoding="utf-8")
    (shop / "posted").mkdir()
    for number in range(1000):
        (shop / "posted" / f"O{number:04}.nc").write_bytes(manifold(number))
    review_folder("1,000 manifolds with a job", shop / "posted", shop / "posted" / "O0500.nc", manifold(9999))


def review_folder(name: str, folder: Path, one: Path, changed: bytes) -> None:
    """Three runs: nothing is known, nothing has changed, one program has changed."""
    command = [sys.executable, "-m", "coolcheck", "folder", str(folder), "--fail-on", "never"]
    for what in ("first run", "unchanged", "one changed"):
        if what == "one changed":
            one.write_bytes(changed)
        seconds, cpu = elapsed(command)
        print(f"folder of {name:28} {what:12} {seconds:6.2f} s  CPU {cpu:6.2f} s", flush=True)


BENCHES: dict[str, Callable[[Path], None]] = {
    "finishing": bench_finishing,
    "drilling": bench_drilling,
    "macro": bench_macro,
    "growth": bench_growth,
    "start-up": bench_start_up,
    "folder": bench_folder,
}

if __name__ == "__main__":
    print(f"Python {platform.python_version()}, {platform.machine()}, {os.cpu_count()} cores, medians of {RUNS}")
    with tempfile.TemporaryDirectory() as place:
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ |= {"PYTHONPYCACHEPREFIX": f"{place}/bytecode", "COOLCHECK_CACHE_DIR": f"{place}/cache"}
        for chosen in sys.argv[1:] or BENCHES:
            BENCHES[chosen](Path(place))
