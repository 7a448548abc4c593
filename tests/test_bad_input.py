"""Bad input through the real command line: an exit code, a message with its place, never a traceback, never a hang, nothing lost."""

import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

import pytest

from coolcheck.cli.start import run
from coolcheck.folder.one import Settings, review_bytes
from coolcheck.nc.limits import Limits

SAMPLES = Path(__file__).resolve().parent.parent / "samples"
HEAD = "G21 G17 G40 G80 G90 G94 G98\n"
DIGITS = "9" * 400


class Told(NamedTuple):
    """What a run of the command line came to."""

    code: int
    out: str
    err: str

    @property
    def text(self) -> str:
        return self.out + self.err


Call = Callable[..., Told]


@pytest.fixture
def call(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Call:
    """Runs a command line in an empty folder; whatever it was given, no traceback and no fault of ours may come out."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COOLCHECK_CACHE_DIR", str(tmp_path / "cache"))

    def called(*args: object) -> Told:
        capsys.readouterr()
        code = run([str(arg) for arg in args])
        told = Told(code, *capsys.readouterr())
        assert "Traceback" not in told.text
        assert "itself failed" not in told.text
        return told

    return called


def outside(*args: object, **more: object) -> "subprocess.CompletedProcess[str]":
    """Runs a command line as a process of its own."""
    command = [sys.executable, "-m", "coolcheck", *map(str, args)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, **more)  # type: ignore[call-overload]
    assert "Traceback" not in done.stdout + done.stderr
    assert "itself failed" not in done.stdout + done.stderr
    return done  # type: ignore[no-any-return]


def write(name: str, content: str | bytes) -> Path:
    path = Path(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


# ---------------------------------------------------------------------------------------------------- what has no end

ENDLESS = {
    "a jump back with nothing changed": ("N10 G0 X1.\nGOTO 10\n", "a.nc:3:1: ", "never ends"),
    "a jump back that counts": ("N10 #1=#1+1\nG0 X#1\nGOTO 10\n", "a.nc:", "--most-blocks"),
    "a loop that is always true": ("WHILE[1EQ1]DO1\n#1=#1+1\nEND1\n", "a.nc:", "--most-blocks"),
    "a program that calls itself": ("O1\nM98 P1\nM99\n", "a.nc:", "deeper than 32"),
    "two programs that call each other": ("M98 P2\nM30\nO2\nM98 P3\nM99\nO3\nM98 P2\nM99\n", "a.nc:", "deeper than 32"),
    "a part that calls itself by its sequence number": ("N10 M97 P10\nM30\n", "a.nc:", "deeper than 32"),
    "a call repeated beyond counting": ("M98 P2 L999999999999\nM30\nO2\n#1=#1+1\nM99\n", "a.nc:", "--most-blocks"),
    "repeats within repeats": (
        "M98 P2 L9999\nM30\nO2\nM98 P3 L9999\nM99\nO3\nM98 P4 L9999\nM99\nO4\n#1=#1+1\nM99\n", "a.nc:", "--most-blocks",
    ),
    "a cycle repeated beyond counting": ("G0 X0 Y0 Z5.\nG91 G81 X1. Z-3. R-1. F100. L99999999\n", "a.nc:", "--most-blocks"),
}  # fmt: skip


@pytest.mark.parametrize("name", ENDLESS)
def test_what_would_never_end_ends_with_a_note(call: Call, name: str) -> None:
    program, place, says = ENDLESS[name]
    write("a.nc", HEAD + program)
    told = call("review", "a.nc", "--most-blocks", 20_000)

    assert told.code == 1
    (line,) = [line for line in told.out.split("\n") if line.startswith(place) and "bound" in line]
    assert says in told.out[told.out.index(line) :].replace("\n             ", " ")


def test_subprogram_files_that_call_each_other_end(call: Call) -> None:
    write("a.nc", HEAD + "M98 P9001\nM30\n")
    write("9001.nc", "O9001\nM98 P9002\nM99\n")
    write("9002.nc", "O9002\nM98 P9001\nM99\n")

    assert "deeper than 32" in call("review", "a.nc").out


def test_a_circle_of_links_is_no_program_and_no_circle(call: Call) -> None:
    write("shop/a.nc", HEAD + "M98 P9001\nM30\n")
    Path("shop/9001.nc").symlink_to("9001.nc")
    Path("shop/round").symlink_to(".")
    told = call("folder", "shop", "--no-cache", "--format", "text")

    assert told.code == 1
    assert "the program O9001 cannot be found" in told.out
    assert call("review", "shop/9001.nc").code == 2


def test_a_review_ends_where_its_memory_ends(tmp_path: Path) -> None:
    program = tmp_path / "a.nc"
    program.write_text(HEAD + "G1 X1. F100.\n" * 400_000)
    done = outside("review", program, "--most-megabytes", 40)

    assert done.returncode == 2
    assert "takes more than 40 MB of memory" in " ".join(done.stdout.split())
    assert "--most-megabytes" in done.stdout


@pytest.mark.parametrize("command", ["timeline", "holes", "demand", "trace"])
def test_what_shows_a_program_that_was_not_followed_to_its_end_says_so(call: Call, command: str) -> None:
    write("a.nc", HEAD + "N10 #1=#1+1\nG1 X#1 F100.\nGOTO 10\n")
    told = call(command, "a.nc", "--most-blocks", 1000)

    assert told.code == 0
    assert "warning: 1000 blocks have run and the program does not end" in told.err
    assert "--most-blocks" in told.err


def test_a_hole_drilled_a_million_times_ends_with_the_time_given(tmp_path: Path) -> None:
    data = (HEAD + "T1 M6\nS900 M3\nG0 X0 Y0 Z5.\nG83 Z-10. R1. Q1. F100. L999999\nM30\n").encode()
    started = time.monotonic()
    review = review_bytes(data, "a.nc", Settings(limits=Limits(max_seconds=2.0)))

    assert time.monotonic() - started < 20
    assert [problem.says for problem in review.problems] == [
        "reviewing this program takes longer than 2 s; cut it into parts, or raise --most-seconds"
    ]


# -------------------------------------------------------------------------------------------------- what is too large

TOO_LARGE = {
    "a number of 400 digits": f"G0 X{DIGITS}",
    "a variable of 5000 digits": f"#{'9' * 5000}=1",
    "a program number of 400 digits": f"M98 P{DIGITS}",
    "brackets within brackets": "#1=" + "[" * 5000 + "1" + "]" * 5000,
    "brackets that are never closed": "#1=" + "[" * 50,
    "operands without end": "#1=" + "+".join(["#2"] * 5000),
    "variables of variables": "#" * 100 + "1=2",
    "a block longer than any control takes": "G1 " + "X1. " * 10_000,
}


@pytest.mark.parametrize("name", TOO_LARGE)
def test_what_is_too_large_cannot_be_read_and_the_rest_can(call: Call, name: str) -> None:
    write("a.nc", f"{HEAD}G0 X5.\n{TOO_LARGE[name]}\nG0 X7.\nM30\n")
    told = call("review", "a.nc")

    assert told.code == 1
    assert any(line.startswith("a.nc:3:") and "[unreadable-block]" in line for line in told.out.split("\n")), told.out
    assert '"line": 4' in call("trace", "a.nc").out


COMPUTED = {
    "division by zero": "#1=1/0",
    "division by a vacant variable": "G0 X[1/#5]",
    "remainder of zero": "#1=5 MOD 0",
    "a root of less than nothing": "#1=SQRT[0-1]",
    "the logarithm of nothing": "#1=LN[0]",
    "an angle that is none": "#1=ACOS[2]",
    "more than a number can be": "#1=10**300*10**300",
    "infinity less infinity": "#1=10**400-10**400",
    "a whole number without end": "#1=FIX[9999999]**FIX[9999999]",
    "a variable that does not exist": "#1=#[0-3]",
    "a word beyond every machine": "G0 X[10**20]",
}


@pytest.mark.parametrize("name", COMPUTED)
@pytest.mark.parametrize("dialect", ["word-address-mill", "rs274-ngc"])
def test_what_is_no_number_is_told_where_the_control_would_stop(call: Call, name: str, dialect: str) -> None:
    write("a.nc", f"{HEAD}{COMPUTED[name]}\nG0 X7.\nM30\n")
    told = call("review", "a.nc", "--format", "json", "--dialect", dialect)

    assert told.code == 1
    document = json.loads(told.out, parse_constant=lambda name: pytest.fail(name))
    faults = [finding for finding in document["programs"][0]["findings"] if finding["where"]["line"] == 2]
    assert {finding["rule"] for finding in faults} & {"macro-fault", "unreadable-block"}
    assert "NaN" not in call("trace", "a.nc").out


def test_a_line_of_a_hundred_megabytes_is_told_within_seconds(tmp_path: Path) -> None:
    program = tmp_path / "a.nc"
    program.write_bytes(b"G21 G90\n" + b"G1X1.Y2.Z3.F400." * 6_250_000 + b"\nM30\n")
    started = time.monotonic()
    done = outside("review", program)

    assert time.monotonic() - started < 60
    assert done.returncode == 1
    assert ":2:1: error: " in done.stdout
    assert "a block of at most 20000 characters" in done.stdout
    assert len(done.stdout) < 20_000


def test_a_program_without_end_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: Call) -> None:
    monkeypatch.setattr("coolcheck.folder.one.MOST_BYTES", 1000)
    write("a.nc", b"G0X1.\n" * 1000)

    for told in (call("review", "a.nc"), call("trace", "a.nc"), call("review", "/dev/zero")):
        assert told.code == 2
        assert "more than the 1,000 bytes that are read" in told.text


# ------------------------------------------------------------------------------------------------------- what is odd

ODD = {
    "nothing": b"",
    "blank lines": b"\n\n\r\n",
    "NULs": b"\0" * 1000 + b"G21\0 G90\nG0 X\x001.5\nM30\n" + b"\0" * 100,
    "a leader, a tape mark, a trailer": b"\x7f\x7f\x00%\nG0 X1.\nM30\n%\n\x1a\x1a",
    "several encodings": "G21 (Ø8)\n".encode("latin-1") + "(孔 8.5)\n".encode() + b"\xff\xfe(\xed\xb2\x80)\nM30\n",
    "UTF-16": "\ufeffG21 G90\r\nG0 X1.\r\nM30\r\n".encode("utf-16-le"),
    "half of UTF-16": b"\xff\xfeG",
    "a byte-order mark": b"\xef\xbb\xbfG21 G90\nM30\n",
    "Windows line ends": b"G21 G90\r\nG0 X1.\r\nM30\r\n",
    "old line ends": b"G21 G90\rG0 X1.\rM30\r",
    "reversed line ends": b"G21 G90\n\rG0 X1.\n\rM30\n\r",
    "another language": b"<html><body>404</body></html>\n",
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 20,
}


@pytest.mark.parametrize("name", ODD)
@pytest.mark.parametrize("form", ["text", "json", "sarif", "junit", "html", "code-quality", "annotations", "summary"])
def test_what_is_odd_is_reviewed_in_every_format(call: Call, name: str, form: str) -> None:
    write("a.nc", ODD[name])
    told = call("review", "a.nc", "--format", form)

    assert told.code in (0, 1)
    if form in ("json", "sarif", "code-quality"):
        json.loads(told.out)
    if form == "junit":
        ElementTree.fromstring(told.out)


def test_line_ends_and_marks_change_no_place(call: Call) -> None:
    for ends in (b"\n", b"\r\n", b"\r", b"\n\r"):
        write("a.nc", ends.join([b"G21 G90", b"G0 X1..2", b"M30", b""]))

        assert "a.nc:2:7: " in call("review", "a.nc").out


@pytest.mark.parametrize(
    "name", ["deep hole #2.nc", "孔加工 Bohrung Ø8.nc", "-dash.nc", "a'b\"c;$(rm).nc", "%41:1:2,x.nc", "\udcff.nc"]
)
def test_any_file_name_is_reviewed_and_named(call: Call, name: str) -> None:
    write(os.path.join("shop", name), HEAD + "G0 X1..2\nM30\n")

    for form in ("text", "json", "sarif", "junit", "html", "code-quality", "annotations", "summary"):
        told = call("folder", "shop", "--format", form, "--no-cache", "-o", "report.html")
        assert told.code == 1
        text = Path("report.html").read_text(encoding="utf-8")
        if form == "text":
            assert ":2:7: error: " in text
        if form == "sarif":
            uri = json.loads(text)["runs"][0]["artifacts"][0]["location"]["uri"]
            assert uri.isascii() and not any(char in uri for char in ' "<>')


def test_a_job_written_on_windows_is_read_elsewhere(call: Call) -> None:
    write("programs/a.nc", HEAD + "M98 P9001\nM30\n")
    write("lib/subs/9001.nc", "O9001\r\nM99\r\n")
    write("a.job.yaml", "job: a\r\nprograms: ['programs\\a.nc']\r\nsearch: ['lib\\subs']\r\n")

    assert "9001" not in call("review", "programs/a.nc").out


# ---------------------------------------------------------------------------------------------------- records and rules

BOMB = "a: &a [x, x]\n" + "".join(f"{chr(98 + n)}: &{chr(98 + n)} [*{chr(97 + n)}, *{chr(97 + n)}]\n" for n in range(20))
YAML = {
    "an alias bomb": (BOMB, "alias"),
    "a tag that would run something": ("tool: !!python/object/apply:os.system ['touch pwned']\n", "tag"),
    "a tag of our own making": ("tool: !shop x\n", "tag"),
    "a merge": ("tool: x\n<<: {DC: 8 mm}\n", "<<"),
    "a second document": ("tool: x\n---\ntool: y\n", "second document"),
    "nesting without end": ("tool: " + "[" * 100 + "\n", "deeper than 40"),
    "a number of 5000 digits": (f"tool: x\nDC: {'9' * 5000} mm\n", "DC"),
    "a number beyond all numbers": ("tool: x\nDC: 1e999 mm\n", "DC"),
    "no number": ("tool: x\nDC: .nan mm\n", "DC"),
    "infinity": ("tool: x\nDC: .inf\n", "DC"),
    "a division by zero": ("tool: x\nDC: 3/0 in\n", "DC"),
    "less than nothing": ("tool: x\nDC: -8 mm\n", "DC"),
    "a key given twice": ("tool: x\nDC: 8 mm\nDC: 9 mm\n", "twice"),
    "a control character": ("tool: x\x07\n", "character"),
    "another encoding": ("tool: Ø\n".encode("latin-1"), "UTF-8"),
    "UTF-16": ("tool: x\n".encode("utf-16"), "UTF-8"),
    "NULs": (b"\0" * 100, "character"),
    "tabs": ("tool: x\n\tDC: 8 mm\n", "YAML"),
    "a list": ("- tool: x\n", "record"),
    "nothing": ("", "record"),
    "more than a megabyte": ("# " + "x" * 1_100_000 + "\ntool: x\n", "1 MB"),
}


@pytest.mark.parametrize("name", YAML)
def test_a_record_that_is_none_is_told_with_its_place(call: Call, name: str) -> None:
    content, says = YAML[name]
    write("shop/tools/a.yaml", content)
    told = call("records", "check", "shop")

    assert told.code == 1
    assert says in told.out
    assert "shop/tools/a.yaml" in told.out
    assert not Path("pwned").exists()


@pytest.mark.parametrize("name", YAML)
def test_a_job_that_is_none_is_told_with_its_place(call: Call, name: str) -> None:
    write("a.job.yaml", YAML[name][0])
    write("a.nc", "M30\n")
    told = call("review", "a.nc", "--job", "a.job.yaml")

    assert told.code == 2
    assert told.out.startswith("a.job.yaml")


@pytest.mark.parametrize(
    "when",
    [
        "(" * 3000,
        "not " * 3000 + "wet",
        "depth > 1e400 mm",
        f"depth > {'9' * 5000} mm",
        "depth / 0 > 1",
        "__import__('os')",
        "",
        "\x00",
    ],
)
def test_a_condition_that_is_none_is_told_with_its_place(call: Call, when: str) -> None:
    rule = {
        "scope": "operation",
        "level": "note",
        "when": when,
        "says": "x",
        "why": "x",
        "do": "x",
        "basis": "x",
        "mended at": "program",
    }
    write("ours/r.yaml", json.dumps({"group": "ours", "rules": {"a-rule": rule}}))
    write("a.nc", "M30\n")
    told = call("review", "a.nc", "--rules", "ours")

    assert told.code in (0, 2)
    assert told.code == 0 or "ours/r.yaml:1:" in told.out


# ----------------------------------------------------------------------------------------------------- the file system


@pytest.fixture
def closed(tmp_path: Path) -> Iterator[Path]:
    """A folder that everybody may enter, for a user who may little."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    for path in [folder, *folder.rglob("*")]:
        if path.is_dir():
            path.chmod(0o755)
    shutil.rmtree(folder)


@contextmanager
def nobody(call: Call) -> Iterator[None]:
    """Somebody who may not do everything. Whoever may is somebody else for that time, and has loaded all code before."""
    write("warm/a.nc", HEAD + "M30\n")
    call("folder", "warm", "--no-cache", "--format", "html", "-o", "warm/pages")
    call("folder", "warm", "--format", "text")
    call("records", "start", "warm/a.nc")
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


def test_a_program_that_may_not_be_read_is_told_and_the_others_are_reviewed(call: Call, closed: Path) -> None:
    (closed / "a.nc").write_text(HEAD + "M30\n")
    (closed / "secret.nc").write_text("M30\n")
    (closed / "secret.nc").chmod(0)
    (closed / "locked").mkdir(mode=0)
    with nobody(call):
        os.chdir(closed)
        told = call("folder", ".", "--no-cache", "--format", "text")

    assert told.code == 2
    assert "secret.nc: error: this file cannot be read: Permission denied" in told.out
    assert "locked: error: this folder cannot be read" in told.err
    assert "\na.nc:" in told.out


def test_a_folder_on_the_way_that_may_not_be_looked_into_is_told(call: Call, closed: Path) -> None:
    inner = closed / "inner"
    inner.mkdir()
    (inner / "a.nc").write_text(HEAD + "M30\n")
    inner.chmod(0)
    with nobody(call):
        os.chdir(closed)
        told = call("review", inner / "a.nc")

    assert told.code == 2
    assert "error: this file cannot be read: Permission denied" in told.out


def test_a_record_that_may_not_be_read_is_told(call: Call, closed: Path) -> None:
    (closed / "tools").mkdir()
    (closed / "tools/a.yaml").write_text("tool: a\n")
    (closed / "tools/a.yaml").chmod(0)
    with nobody(call):
        told = call("records", "check", closed)

    assert told.code == 1
    assert "tools/a.yaml: error: this file cannot be opened: permission denied" in told.out


@pytest.mark.parametrize(
    "args",
    [
        ("review", "a.nc", "-o", "report.txt"),
        ("folder", ".", "--no-cache", "--format", "html", "-o", "pages"),
        ("records", "start", "a.nc"),
    ],
)
def test_a_folder_that_may_not_be_written_keeps_the_report_out_with_a_word(
    call: Call, closed: Path, args: tuple[str, ...]
) -> None:
    (closed / "a.nc").write_text(HEAD + "M30\n")
    closed.chmod(0o555)
    with nobody(call):
        os.chdir(closed)
        told = call(*args)

    assert told.code == 2
    assert "ermission denied" in told.err
    assert os.listdir(closed) == ["a.nc"]


def test_a_cache_that_cannot_be_kept_costs_only_time(call: Call, closed: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (closed / "a.nc").write_text(HEAD + "M30\n")
    (closed / "cache").mkdir()
    (closed / "cache").chmod(0o555)
    with nobody(call):
        monkeypatch.setenv("COOLCHECK_CACHE_DIR", str(closed / "cache"))
        os.chdir(closed)
        told = call("folder", ".", "--format", "text")

    assert told.code in (0, 1)
    assert "this run goes without" in told.err


def small_files() -> None:
    """From now on no file may grow beyond a kilobyte: what a full disk looks like from inside."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (1024, 1024))


@pytest.mark.parametrize("form", ["text", "html", "json"])
def test_a_full_disk_leaves_the_report_of_before(tmp_path: Path, form: str) -> None:
    shutil.copytree(SAMPLES, tmp_path / "shop")
    report = tmp_path / "report"
    report.write_text("before")
    done = outside(
        "review", "programs/deep-hole-plate.nc", "--format", form, "-o", report, cwd=tmp_path / "shop", preexec_fn=small_files
    )

    assert done.returncode == 2
    assert "File too large" in done.stderr
    assert report.read_text() == "before"
    assert sorted(os.listdir(tmp_path)) == ["report", "shop"]


def test_a_full_disk_leaves_the_program_of_before(tmp_path: Path) -> None:
    shutil.copytree(SAMPLES, tmp_path / "shop")
    programs = tmp_path / "shop/programs"
    before = {path.name: path.read_bytes() for path in programs.iterdir()}
    done = outside("rewrite", "programs/deep-hole-plate.nc", "--in-place", cwd=tmp_path / "shop", preexec_fn=small_files)

    assert done.returncode == 2
    assert {path.name: path.read_bytes() for path in programs.iterdir()} == before


def test_a_full_disk_behind_stdout_is_told(tmp_path: Path) -> None:
    program = tmp_path / "a.nc"
    program.write_text(HEAD + "G0 X1.\n" * 5000)

    for command in ("review", "trace"):
        with open("/dev/full", "w") as full:
            done = subprocess.run(
                [sys.executable, "-m", "coolcheck", command, program], stdout=full, stderr=subprocess.PIPE, text=True, timeout=60
            )
        assert done.returncode == 2
        assert "No space left on device" in done.stderr
        assert "Traceback" not in done.stderr
        assert "Exception ignored" not in done.stderr


def test_a_device_is_written_to_and_stays_a_device(call: Call, tmp_path: Path) -> None:
    os.mkfifo("pipe")
    reader = os.open("pipe", os.O_RDONLY | os.O_NONBLOCK)
    write("a.nc", HEAD + "M30\n")
    told = call("review", "a.nc", "-o", "pipe", "--format", "summary")

    assert told.code in (0, 1)
    assert b"a.nc" in os.read(reader, 65536)
    os.close(reader)
    assert not Path("pipe").is_file()


@pytest.mark.parametrize(("name", "says"), [("nowhere.nc", "cannot be read: No such file"), (".", "this is a folder")])
def test_what_is_not_there_or_no_file_is_told(call: Call, name: str, says: str) -> None:
    told = call("review", name)

    assert told.code == 2
    assert says in told.out


def test_a_clock_that_goes_backwards_changes_nothing(call: Call) -> None:
    program = write("shop/a.nc", HEAD + "G0 X1.\nM30\n")
    first = call("folder", "shop", "--format", "json", "--date", "2026-02-01")
    os.utime(program, (1, 1))
    second = call("folder", "shop", "--format", "json", "--date", "2026-02-01")
    program.write_bytes(program.read_bytes().replace(b"X1.", b"X..1"))
    os.utime(program, (0, 0))
    third = call("folder", "shop", "--format", "json", "--date", "2026-02-01")

    assert second == first
    assert "unreadable-block" in third.out


# ---------------------------------------------------------------------------------------------------------------- trust

HOSTILE = [
    "\x1b[2J\x1b]0;pwned\x07", "\x9b31m", "\u202egnp.exe\u2066", "::error::pwned", "##[error]pwned", "%0A::error::pwned", "]]>", "<!--",
    "</script><script>alert(1)</script>", "<img src=x onerror=alert(1)>", "\" onload=\"alert(1)", "{{7*7}}", "{% raw %}", "${jndi:x}",
    "`rm`", "$(rm)", "'; DROP TABLE review; --", "&lt;", "a: b\n- c", "!!python/name:os.system", "\x00", "\ufeff", "\u2028pwned",
]  # fmt: skip


@pytest.fixture
def hostile() -> Path:
    """A program whose every comment and name is made to do harm, with a fault in each block so that it is quoted."""
    rows = [f"G0 X1..2 ({text}) T{n} M6" for n, text in enumerate(text.replace("\n", " ") for text in HOSTILE)]
    rows += [f"T{n} M6 ({text})\nS900 M3\nG83 X1. Z-9. R1. Q2. F90." for n, text in enumerate(HOSTILE, 1) if "\n" not in text]
    rows += [f"O{n} <{text}>\n{text}\nM57 P..1 {text}" for n, text in enumerate(HOSTILE, 50) if "\n" not in text]
    return write("a.nc", HEAD + "\n".join(rows) + "\nM30\n")


FORMS = ["text", "summary", "html", "json", "sarif", "junit", "code-quality", "annotations"]


@pytest.mark.parametrize("form", FORMS)
def test_nothing_in_a_program_steers_what_reads_the_report(call: Call, hostile: Path, form: str) -> None:
    told = call("review", hostile, "--format", form, "--evidence", "full")

    assert told.code == 1
    allowed = "\n" if form != "html" else "\n\t"
    odd = {char for char in told.out if not char.isprintable() and char not in allowed and not char.isspace()}
    assert odd == set()
    assert not any(char in told.out for char in "\x1b\x9b\u202e\u2066\u2028\ufeff\x00\x07")
    if form == "annotations":
        commands = [line for line in told.out.split("\n") if line.lstrip().startswith(("::", "##["))]
        assert all(line.startswith(("::error file=", "::warning file=", "::notice ")) for line in commands)
        assert not any("::error::pwned" in line.split("::", 2)[1] for line in commands)
    if form == "html":
        assert told.out.count("<script") == 1
        assert "<img" not in told.out
        assert "49" not in told.out.split("7*7")[0][-3:]
    if form == "junit":
        ElementTree.fromstring(told.out)
    if form in ("json", "sarif", "code-quality"):
        json.loads(told.out)


@pytest.mark.parametrize("command", ["timeline", "holes", "demand", "trace"])
@pytest.mark.parametrize("form", ["text", "json"])
def test_nothing_in_a_program_steers_a_terminal(call: Call, hostile: Path, command: str, form: str) -> None:
    told = call(command, hostile, *(["--format", form] if command != "trace" else []))

    assert told.code == 0
    assert all(char.isprintable() or char == "\n" for char in told.text)


def test_a_diff_and_its_refusals_steer_no_terminal(call: Call, hostile: Path) -> None:
    told = call("rewrite", hostile)

    assert all(char.isprintable() or char == "\n" for char in told.text)


def test_a_record_steers_no_terminal(call: Call) -> None:
    write("shop/tools/a.yaml", 'tool: "\\e[2J\\u202e"\nDC: "\\e[31m"\n"\\x9b1m": 3\n')
    write("shop/a.job.yaml", 'job: "\\e]0;x\\a"\nprograms: ["*.nc"]\ntools: [{T: 1, tool: "\\e[2J\\u202e"}]\nmachine: "\\e[1m"\n')
    write("shop/a.nc", HEAD + "T1 M6\nM30\n")

    for told in (
        call("records", "check", "shop", "--questions"),
        call("review", "shop/a.nc"),
        call("rewrite", "shop/a.nc"),
        call("timeline", "shop/a.nc"),
    ):
        assert all(char.isprintable() or char == "\n" for char in told.text), told


def test_a_certificate_steers_no_terminal(call: Call) -> None:
    write("c.json", json.dumps({"form": "coolcheck rewrite certificate", "version": "\x1b[2J"}))

    told = call("verify", "c.json")
    assert told.code == 2
    assert "\x1b" not in told.text


def test_records_started_from_a_hostile_program_are_records(call: Call, hostile: Path) -> None:
    assert call("records", "start", hostile, "-o", "shop").code == 0
    told = call("records", "check", "shop")

    assert told.code == 0, told.out
    assert all(path.resolve().is_relative_to(Path("shop").resolve()) for path in Path("shop").rglob("*"))
