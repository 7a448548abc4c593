"""A shop small enough to see through: one machine with fluid through the spindle, a few tools, one material. Invented numbers."""

from datetime import date
from functools import lru_cache
from pathlib import Path
from tempfile import mkdtemp

from coolcheck.records.binding import Binding, bind
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.rewrite import Rewrite, rewrite
from coolcheck.rewrite.targets import Choice

TODAY = date(2026, 2, 1)
MACHINE = """machine: mill
dialect: {dialect}
spindle: {{interface: ISO 7388-1, size: 40, top speed: 12000 rpm, power: 20 kW, torque: 120 N*m, {starts}fluid port: centre}}
motion:
  rapid x: 30 m/min
  rapid y: 30 m/min
  rapid z: 30 m/min
  acceleration x: 5 m/s**2
  acceleration y: 5 m/s**2
  acceleration z: 5 m/s**2
  tool change time: 4 s
supplies:
  - {{mode: flood, fitted: yes, rated pressure: 5 bar, rated flow: 60 L/min, build-up time: 0.5 s}}
  - mode: through_tool
    fitted: {fitted}
    rated pressure: 70 bar
    rated flow: 30 L/min
    open flow: 34 L/min
    line bore: 12 mm
    line length: 4 m
    build-up time: 1.5 s
    decay time: 1.2 s
    needs spindle: yes
    filter: 20 um
    confirmed: no
  - {{mode: air, fitted: yes, rated pressure: 6 bar}}
  - {{mode: mist, fitted: no}}
codes:
  - {{code: M8, on: [flood]}}
  - {{code: M9, off: [flood]}}
  - {{code: M29, means: rigid_tap}}
  - {{code: M51, means: nothing, says: for fluid through the spindle on another machine}}
  - {{code: M52, means: nothing, says: the same off}}
  - {{code: M57, on: [through_tool]}}
  - {{code: M58, off: [through_tool]}}
off at: {{tool change: {off}, program stop: [], program end: {off}, spindle stop: []}}
spindle stops at tool change: yes
union: {{kind: controlled_leak, most pressure: 80 bar, top speed: 14000 rpm, dry running: yes, gas: no}}
guard: {{door interlock: yes, mist extraction: yes, level monitor: yes, chip conveyor: yes, broken tool check: no}}
"""
HOLDER = """holder: chuck
interface: ISO 7388-1
form: AD
size: 40
pull stud: AD
clamping: hydraulic
passage: yes
sealed: {sealed}
jets: no
seal rating: 80 bar
bore: 6 mm
bore length: 70 mm
top speed: 20000 rpm
"""
DRILL = """tool: {name}
kind: drill
DC: {dc}
LU: {lu}
LCF: {lcf}
SIG: 140 deg
ZEFP: 2
substrate: hardmetal
insert: no
fluid: {{through: yes, exits: 2, exit diameter: 1 mm, passage diameter: 1 mm, passage length: 150 mm, least pressure: 20 bar,
  most pressure: 120 bar, least flow: 2 L/min, required: [through_tool], forbidden: [], edge history: either}}
drilling: {{one pass: {one_pass}, pilot: {pilot}}}
cutting:
  - {{material: steel, vc: 80 m/min, f: 0.2 mm}}
top speed: 16000 rpm
"""
PILOTED = "yes, pilot depth: 10 mm, entry speed: 300 rpm, entry feed: 400 mm/min, chip room: 10 mm"
MILL = """tool: {name}
kind: {kind}
DC: 20 mm
ZEFP: 4
NOF: 4
substrate: hardmetal
insert: yes
fluid: {{through: no, required: [{required}], forbidden: [], edge history: {history}}}
small cut: {small}
cutting:
  - {{material: steel, vc: 180 m/min, fz: 0.1 mm}}
top speed: 16000 rpm
"""
MATERIAL = """material: steel
group: P
family: alloy_steel
kc1.1: 1775 MPa
mc: 0.24
h range: {from: 0.05 mm, to: 2.5 mm}
hardens: no
sticks: no
reactive: no
chips: long
"""
FLUID = """fluid: emulsion
class: MAD
base: water_mix
concentration: 8 %
concentration from: 6 %
concentration to: 10 %
density: 993 kg/m**3
viscosity: 1.2 mm**2/s
temperature: 22 °C
heat capacity: 4010 J/(kg*K)
allowed: [P]
forbidden: []
"""
JOB = """job: parts
programs: ["*.nc"]
machine: mill
material: steel
fluid: emulsion
{top}unattended: no
tools:
  - {{T: 1, tool: drill 8, holder: chuck}}
  - {{T: 2, tool: long drill 8, holder: chuck}}
  - {{T: 3, tool: end mill, holder: chuck}}
  - {{T: 4, tool: pilot 8, holder: chuck}}
  - {{T: 5, tool: engraver, holder: chuck}}
{more}"""
CONFIRMED = 'confirmed:\n  - {what: uninterrupted_hole, by: planning, "on": 2026-01-12}\n'
# A pilot by one drill, and a deep hole in it that the long drill pecks.
LONG = """G21 G17 G40 G80 G90 G94
T4 M6
G0 G54 X0. Y0. S3183 M3
G43 H4 Z25. M8
G99 G81 Z-14. R2. F636.
G80
G0 Z25. M9
T2 M6
G0 X0. Y0. S3183 M3
G43 H2 Z25. M8
G99 G83 Z-100. R2. Q5. F636.
G80
G0 Z25. M9
M30
"""


@lru_cache(maxsize=32)
def shop(
    dialect: str = "word-address-mill", fitted: str = "yes", sealed: str = "yes", confirmed: bool = True, off: str = "[]",
    history: str = "either", small: str = "no", more: str = "", top: str = "top: 0 mm\n", starts: str = "start time: 1.4 s, ",
) -> Path:  # fmt: skip
    """A folder with the records; programs may be put into it."""
    folder = Path(mkdtemp(prefix="shop-"))
    files = {
        "parts.job.yaml": JOB.format(top=top, more=(CONFIRMED if confirmed else "") + more),
        "mill.yaml": MACHINE.format(dialect=dialect, fitted=fitted, off=off, starts=starts),
        "chuck.yaml": HOLDER.format(sealed=sealed),
        "steel.yaml": MATERIAL,
        "emulsion.yaml": FLUID,
        "drill.yaml": DRILL.format(name="drill 8", dc="8 mm", lu="70 mm", lcf="85 mm", one_pass="60 mm", pilot="no"),
        "long.yaml": DRILL.format(name="long drill 8", dc="8 mm", lu="150 mm", lcf="165 mm", one_pass="140 mm", pilot=PILOTED),
        "pilot.yaml": DRILL.format(name="pilot 8", dc="8 mm", lu="25 mm", lcf="40 mm", one_pass="24 mm", pilot="no"),
        "mill-20.yaml": MILL.format(name="end mill", kind="end_mill", required="flood, none", history=history, small="no"),
        "engraver.yaml": MILL.format(name="engraver", kind="engraver", required="none", history="either", small=small),
    }
    folders = {"mill.yaml": "machines", "chuck.yaml": "holders", "steel.yaml": "materials", "emulsion.yaml": "fluids"}
    for name, text in files.items():
        place = folder if name.endswith(".job.yaml") else folder / folders.get(name, "tools")
        place.mkdir(exist_ok=True)
        (place / name).write_text(text, encoding="utf-8")
    return folder


@lru_cache(maxsize=32)
def binding(folder: Path) -> Binding:
    """The records of that shop."""
    return bind(folder / "p.nc", folder / "parts.job.yaml")


def rewritten(program: bytes, folder: Path | None = None, only: tuple[str, ...] = (), skip: tuple[str, ...] = ()) -> Rewrite:
    """The program rewritten with the records of that shop."""
    where = folder or shop()
    bench = Bench.of(binding(where))
    return rewrite(program, str(where / "p.nc"), bench, Choice(frozenset(only), frozenset(skip)), TODAY)


def changed_lines(done: Rewrite) -> tuple[list[str], list[str]]:
    """Lines that are gone, and lines that are new, in order."""
    from difflib import ndiff

    lines = list(ndiff(done.original.decode("latin-1").splitlines(), done.result.decode("latin-1").splitlines()))
    return [line[2:] for line in lines if line[:2] == "- "], [line[2:] for line in lines if line[:2] == "+ "]
