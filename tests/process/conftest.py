"""A small shop for the tests of the process: records as plain data, changed where a test wants it, and programs as text."""

import copy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.program import Program
from coolcheck.process import build
from coolcheck.process.fluids import code_name
from coolcheck.process.model import Timeline
from coolcheck.records.binding import bind, unbound
from coolcheck.records.schema import FOLDERS

MACHINE: dict[str, Any] = {
    "machine": "Bench 1",
    "dialect": "word-address-mill",
    "spindle": {"interface": "ISO 7388-1", "fluid port": "centre", "power": "20 kW", "torque": "100 N*m"},
    "motion": {f"rapid {axis}": "30 m/min" for axis in "xyz"} | {"tool change time": "5 s"},
    "supplies": [
        {"mode": "flood", "fitted": "yes", "rated pressure": "5 bar", "rated flow": "60 L/min"},
        {
            "mode": "through_tool",
            "fitted": "yes",
            "rated pressure": "70 bar",
            "rated flow": "30 L/min",
            "line bore": "12 mm",
            "line length": "3 m",
            "levels": [{"level": "high", "pressure": "70 bar"}, {"level": "low", "pressure": "30 bar"}],
            "build-up time": "1 s",
        },
        {"mode": "air", "fitted": "yes"},
        {"mode": "through_air", "fitted": "yes"},
        {"mode": "mist", "fitted": "no"},
    ],
    "codes": [
        {"code": "M8", "on": ["flood"]},
        {"code": "M9", "off": ["flood", "through_tool", "air"]},
        {"code": "M57", "on": ["through_tool"]},
        {"code": "M57", "with": "P3", "on": ["through_tool"], "level": "high"},
        {"code": "M58", "off": ["through_tool"]},
        {"code": "M54", "on": ["air"]},
        {"code": "M31", "means": "chip_conveyor"},
    ],
    "off at": {"tool change": ["flood"], "program stop": [], "program end": ["flood"], "spindle stop": []},
    "union": {"gas": "no"},
}
HOLDER: dict[str, Any] = {
    "holder": "chuck",
    "interface": "ISO 7388-1",
    "form": "AD",
    "pull stud": "AD",
    "passage": "yes",
    "sealed": "yes",
    "jets": "no",
    "bore": "8 mm",
    "bore length": "60 mm",
}
TOOLS: dict[str, dict[str, Any]] = {
    "T1": {"kind": "spot_drill", "DC": "12 mm", "fluid": {"through": "no"}},
    "T2": {
        "kind": "drill",
        "DC": "8 mm",
        "SIG": "140 deg",
        "substrate": "hardmetal",
        "fluid": {
            "through": "yes",
            "exits": "2",
            "exit diameter": "1 mm",
            "passage diameter": "1 mm",
            "passage length": "120 mm",
        },
    },
    "T3": {"kind": "tap", "DC": "10 mm", "TP": "1.5 mm", "THCHT": "C", "fluid": {"through": "no"}},
    "T4": {
        "kind": "face_mill",
        "DC": "50 mm",
        "ZEFP": "5",
        "substrate": "hardmetal",
        "insert": "yes",
        "fluid": {"through": "no"},
    },
    "T5": {"kind": "end_mill", "DC": "10 mm", "fluid": {"through": "no"}},
    "T6": {"kind": "thread_mill", "DC": "8 mm", "fluid": {"through": "no"}},
}
MATERIAL: dict[str, Any] = {
    "material": "steel",
    "group": "P",
    "family": "alloy_steel",
    "kc1.1": "1700 MPa",
    "mc": "0.25",
    "density": "7850 kg/m**3",
    "heat capacity": "480 J/(kg*K)",
    "conductivity": "45 W/(m*K)",
}
FLUID: dict[str, Any] = {
    "fluid": "emulsion",
    "base": "water_mix",
    "density": "995 kg/m**3",
    "viscosity": "1.2 mm**2/s",
    "heat capacity": "4000 J/(kg*K)",
    "temperature": "22 degC",
}


class Bench:
    """Writes records and a program into a folder and builds the timeline. `change` and `drop` alter single fields."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.records: dict[str, Any] = copy.deepcopy(
            {"machine": MACHINE, "holder": HOLDER, "material": MATERIAL, "fluid": FLUID, "job": {"top": "0 mm"}, **TOOLS}
        )

    def change(self, record: str, **fields: Any) -> "Bench":
        """Fields of a record; sections are merged, but for a tool that loses its passages."""
        for name, value in fields.items():
            old = self.records[record].get(name)
            merges = isinstance(old, dict) and isinstance(value, dict) and value.get("through") != "no"
            self.records[record][name] = {**old, **value} if merges else value
        return self

    def drop(self, record: str, *path: str) -> "Bench":
        """Takes a field out of a record."""
        at = self.records[record]
        for key in path[:-1]:
            at = at[key]
        del at[path[-1]]
        return self

    def supply(self, mode: str, **fields: Any) -> "Bench":
        """Fields of one supply of the machine."""
        entry = next(e for e in self.records["machine"]["supplies"] if e["mode"] == mode)
        entry.update({name.replace("_", " "): value for name, value in fields.items()})
        return self

    def timeline(self, text: str) -> Timeline:
        """The process of a program on this bench."""
        for kind in ("machine", "holder", "material", "fluid"):
            name = self.records[kind].get(kind, kind)
            self._write(f"{FOLDERS[kind]}/{kind}.yaml", {kind: name} | self.records[kind])
        tools = [name for name in self.records if name[0] == "T"]
        for name in tools:
            self._write(f"tools/{name}.yaml", {"tool": name, "holder": self.records["holder"]["holder"]} | self.records[name])
        job = {
            "job": "bench",
            "machine": self.records["machine"]["machine"],
            "material": self.records["material"]["material"],
            "fluid": self.records["fluid"]["fluid"],
            "tools": [{"T": int(name[1:]), "tool": name} for name in tools],
        }
        self._write("bench.job.yaml", job | self.records["job"])
        binding = bind(self._program(text), self.folder / "bench.job.yaml")
        codes = frozenset(code_name(entry["code"]) for entry in self.records["machine"].get("codes", ()))
        return build(execute(text, codes), binding)

    def bare(self, text: str) -> Timeline:
        """The process of a program of which no record is known."""
        return build(execute(text, frozenset()), unbound(self._program(text)))

    def _program(self, text: str) -> Path:
        path = self.folder / "program.nc"
        path.write_text(text, encoding="utf-8")
        return path

    def _write(self, name: str, data: dict[str, Any]) -> None:
        (self.folder / name).parent.mkdir(exist_ok=True)
        (self.folder / name).write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")


def execute(text: str, codes: frozenset[str]) -> Any:
    """The program as the control would run it."""
    return interpret(Program.read(text.encode(), "program.nc", load_dialect("word-address-mill")), codes=codes)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """A bench with everything known and nothing wrong."""
    return Bench(tmp_path)


@pytest.fixture
def ask() -> Callable[..., Any]:
    """Asks a fact: ask(timeline, "operation", "depth") of the first object, or of the one with that index."""
    from coolcheck.process import facts

    def answer(timeline: Timeline, scope: str, name: str, index: int = 0) -> Any:
        item = list(facts.objects(scope, timeline))[index]
        return facts.FACTS[scope, name].of(item, timeline)

    return answer
