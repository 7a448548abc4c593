"""The delivery chain: what becomes of a commanded fluid on its way from the pump to the edge, link by link.

Each link is yes, no or unknown with its evidence; the outcome follows the table "what happens end to end" (common practice;
holder and pull-stud forms: ISO 7388, ISO 12164, ISO 26623).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from coolcheck.known import Evidence, Known, Missing, Truth, every, merged, no, some, unknown, yes
from coolcheck.process.fluids import commanded
from coolcheck.process.model import LIQUID, MODES, Chain, Fluid, Link

if TYPE_CHECKING:
    from coolcheck.records.record import Record

THROUGH = ("through_tool", "through_air")  # modes that go through spindle, holder and tool
GAS = ("through_air", "minimum_quantity")  # modes that are air, or oil carried by air
DRY_KINDS = ("air", "through_air")
# External fluid struggles beyond 2 to 3 diameters of hole depth (a trade guide on fluid supply; a drilling catalogue of 2011 sets
# the limit of one drill family at 1 diameter). Beyond it flood counts as not reaching the tip.
FLOOD_REACH = 3.0
REACH_NOTE = "fluid from outside struggles beyond 2 to 3 diameters of depth (trade guidance)"
STEEP_TAPERS = ("ISO 7388-1", "ISO 7388-2")
DRILLED_STUDS, CLOSED_STUDS = ("AD", "UD", "JD"), ("AF", "UF", "JF")  # ISO 7388-3
# Where the forms of a shank pass fluid. ISO 7388: D central, F (and B of the older standard) through the flange, plain letters
# nowhere; ISO 12164: A, C, E central, B, D, F by the flange too (from memory).
SHANK_PASSES = {
    "ISO 7388-1": {
        "A": (), "U": (), "J": (), "AD": ("centre",), "UD": ("centre",), "JD": ("centre",), "AF": ("flange",), "UF": ("flange",),
        "JF": ("flange",), "B": ("flange",), "AD/B": ("centre", "flange"),
    },
    "ISO 12164-1": {
        "A": ("centre",), "C": ("centre",), "E": ("centre",), "B": ("centre", "flange"), "D": ("centre", "flange"),
        "F": ("centre", "flange"),
    },
}  # fmt: skip
SHANK_PASSES["ISO 7388-2"] = SHANK_PASSES["ISO 7388-1"]
FAILS = {"spindle": "wrong_form", "pull_stud": "closed_pull_stud", "holder": "blocked_in_holder", "reach": "starved_by_depth"}


@dataclass(frozen=True, slots=True)
class Setup:
    """One tool in its holder in the machine, and the work it does: all that decides whether fluid arrives.

    depth, diameter : of the work [m]; in_hole : it works in holes; retract : what lies between its strokes
    """

    machine: "Record"
    holder: "Record"
    tool: "Record"
    name: str
    depth: Known[float]
    diameter: Known[float]
    in_hole: bool


def chains(setup: Setup, states: Sequence[Fluid]) -> tuple[Chain, ...]:
    """A chain for each mode that is, or may be, commanded in one of the states."""
    found = []
    for mode in MODES:
        command = commanded_link(mode, states)
        if not command.passes.is_no:
            found.append(_chain(mode, (command, *hardware(mode, setup))))
    return tuple(found)


def possible(mode: str, setup: Setup) -> Chain:
    """The chain of a mode, commanded or not."""
    return _chain(mode, hardware(mode, setup))


def commanded_link(mode: str, states: Sequence[Fluid]) -> Link:
    """Is the mode on while it cuts."""
    truths = [commanded(state, (mode,)) for state in states]
    passes = some(truths)
    if passes.is_yes:
        part = "" if all(truth.is_yes for truth in truths) else " during part of the cut"
        return Link("commanded", passes, f"the program turns on {_words(mode)}{part}")
    if passes.is_no:
        return Link("commanded", passes, f"the program does not turn on {_words(mode)}")
    return Link("commanded", passes, f"it is not known whether {_words(mode)} is on")


def hardware(mode: str, setup: Setup) -> tuple[Link, ...]:
    """The links behind the command."""
    links = [_machine(mode, setup)]
    if mode == "wash":
        return tuple(links)
    if mode in THROUGH or (mode == "minimum_quantity" and _runs_inside(setup)):
        links += [_spindle(mode, setup), _pull_stud(setup), _holder(setup), _clamping(setup), _tool(setup)]
        return (*links, _inner_reach(setup))
    return (*links, _reach(setup))


def _chain(mode: str, links: tuple[Link, ...]) -> Chain:
    return Chain(mode, links, every(link.passes for link in links), _result(links))


def _result(links: tuple[Link, ...]) -> str:
    """The word for the outcome: the first link that is not yes decides; at the clamping it takes holder and tool together."""
    for link in links:
        if link.passes.is_yes:
            continue
        if link.name in ("clamping", "tool"):
            return _at_clamping(links)
        if not link.passes.is_known:
            return "unknown"
        if link.name == "commanded":
            return "not_commanded"
        if link.name == "machine":
            return "prepared_only" if PREPARED in link.says else "no_supply"
        return FAILS[link.name]
    return "delivered"


def _at_clamping(links: tuple[Link, ...]) -> str:
    by_name = {link.name: link for link in links}
    clamping, tool = by_name["clamping"], by_name["tool"]
    if JETS in clamping.says:
        return "holder_jets"
    if not clamping.passes.is_known or not tool.passes.is_known:
        return "unknown"
    if clamping.passes.is_yes:
        return "blocked_at_tool"
    return "partial_leak" if tool.passes.is_yes else "shank_spray"


PREPARED = "only prepared"
JETS = "jets along the shank"


def _machine(mode: str, setup: Setup) -> Link:
    fitted = setup.machine.entry("supplies", mode).field("fitted")
    what = _words(mode)
    if not fitted.is_known:
        return Link("machine", fitted, f"it is not known whether the machine has {what}")
    says = {
        "yes": f"the machine has {what}",
        "no": f"the machine has no {what}",
        "prepared": f"the machine is {PREPARED} for {what}: there is no pump",
    }[fitted.value]
    return Link("machine", fitted.map(lambda value: value == "yes"), says)


def _runs_inside(setup: Setup) -> bool:
    """Minimum quantity goes through the spindle where the union carries oil mist and the tool has passages."""
    gas = setup.machine.field("union.gas")
    return gas.is_yes and not tool_passes(setup.tool).is_no


def _spindle(mode: str, setup: Setup) -> Link:
    """Spindle and shank hand over to each other, and the union may carry what is sent."""
    port, interface, form = setup.machine.field("spindle.fluid port"), setup.holder.field("interface"), setup.holder.field("form")
    spindle = setup.machine.field("spindle.interface")
    if mode in GAS and not setup.machine.field("union.gas").is_yes:
        gas = setup.machine.field("union.gas")
        doubt = "may not" if gas.is_known else "is not known to be fit to"
        return Link("spindle", gas, f"the rotary union {doubt} carry air or oil mist")
    if spindle.is_known and interface.is_known and spindle.value != interface.value:
        evidence = spindle.evidence + interface.evidence
        return Link("spindle", no(*evidence), f"the holder is made to {interface.value}, the spindle to {spindle.value}")
    sizes = setup.machine.field("spindle.size"), setup.holder.field("size")
    if all(size.is_known for size in sizes) and not same_size(sizes[0].value, sizes[1].value):
        evidence = sizes[0].evidence + sizes[1].evidence
        return Link("spindle", no(*evidence), f"the holder is of size {sizes[1].value}, the spindle of size {sizes[0].value}")
    ways = _ways(interface, form)
    if ways.is_known and not ways.value:
        return Link("spindle", no(*ways.evidence), f"a shank of form {form.value} has no passage for fluid")
    if not ways.is_known or not port.is_known:
        missing, evidence = merged(ways.missing + port.missing), merged(ways.evidence + port.evidence)
        return Link(
            "spindle", unknown(*missing, evidence=evidence), "it is not known whether spindle and shank hand over to each other"
        )
    evidence = port.evidence + ways.evidence
    if port.value in ways.value:
        return Link("spindle", yes(*evidence), f"the spindle hands over by the {port.value}, the shank takes it there")
    taken = " or ".join(ways.value)
    return Link("spindle", no(*evidence), f"the spindle hands over by the {port.value}, the shank takes fluid by the {taken}")


def same_size(one: str, other: str) -> bool:
    """Do two sizes of a taper agree; a letter that only one of them writes counts for nothing.

    >>> same_size("A63", "63"), same_size("40", "ISO 40"), same_size("40", "50"), same_size("A63", "E63")
    (True, True, False, False)
    """
    (letter, number), (its_letter, its_number) = _split_size(one), _split_size(other)
    letters = letter in ("", "ISO") or its_letter in ("", "ISO") or letter == its_letter
    return number == its_number and letters


def _split_size(size: str) -> tuple[str, str]:
    bare = "".join(size.upper().split())
    number = bare.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ-")
    return bare[: len(bare) - len(number)].rstrip("-"), number


def _ways(interface: Known[str], form: Known[str]) -> Known[tuple[str, ...]]:
    """Where a shank takes fluid: centre, flange, both or nowhere."""
    if interface.is_known and interface.value == "ISO 26623-1":
        return interface.map(lambda _: ("centre",))  # the polygonal taper has a central passage as standard (from memory)
    if not interface.is_known or not form.is_known:
        missing = merged(interface.missing + form.missing)
        return unknown(*missing, evidence=interface.evidence + form.evidence)
    passes = SHANK_PASSES[interface.value].get(form.value)
    if passes is None:
        question = f"{interface.value} has no form {form.value}: which form is the shank?"
        place = form.evidence[0].place if form.evidence else None
        return unknown(Missing("holder", "form", question, place), evidence=interface.evidence + form.evidence)
    return Known(passes, True, interface.evidence + form.evidence)


def _pull_stud(setup: Setup) -> Link:
    """The pull stud of a steep taper, the fluid tube of a hollow one; the polygonal taper has neither."""
    interface = setup.holder.field("interface")
    if not interface.is_known:
        return Link("pull_stud", interface, "it is not known which taper the holder has")
    if interface.value == "ISO 26623-1":
        return Link("pull_stud", yes(*interface.evidence), "a polygonal taper has no pull stud")
    if interface.value not in STEEP_TAPERS:
        return _tube(setup)
    stud, port = setup.holder.field("pull stud"), setup.machine.field("spindle.fluid port")
    if not stud.is_known:
        return Link("pull_stud", stud, "it is not known which pull stud the holder has")
    if port.is_known and port.value == "flange":
        closed = stud.value in CLOSED_STUDS
        says = (
            "the pull stud is closed, as fluid through the flange wants it"
            if closed
            else "a drilled pull stud lets flange fluid out at the back"
        )
        return Link("pull_stud", stud.map(lambda value: value in CLOSED_STUDS), says)
    if stud.value in CLOSED_STUDS:
        return Link("pull_stud", no(*stud.evidence), f"pull stud {stud.value} is closed")
    if stud.value == "none":
        question = "which pull stud is screwed in (AD, UD, JD drilled; AF, UF, JF closed)?"
        place = stud.evidence[0].place if stud.evidence else None
        asked = Missing(f"holder {setup.holder.name}".strip(), "pull stud", question, place)
        return Link(
            "pull_stud",
            unknown(asked, evidence=stud.evidence),
            "a steep taper without pull stud cannot be held: the record is wrong",
        )
    return Link("pull_stud", yes(*stud.evidence), f"pull stud {stud.value} is drilled")


def _tube(setup: Setup) -> Link:
    tube, port = setup.holder.field("fluid tube"), setup.machine.field("spindle.fluid port")
    if port.is_known and port.value == "flange":
        return Link("pull_stud", yes(*port.evidence), "fluid through the flange needs no tube")
    says = "the fluid tube is fitted" if tube.is_yes else "the fluid tube is not fitted: the hollow taper is shut for fluid"
    return Link("pull_stud", tube, says if tube.is_known else "it is not known whether the fluid tube is fitted")


def _holder(setup: Setup) -> Link:
    passage = setup.holder.field("passage")
    if not passage.is_known:
        return Link("holder", passage, "it is not known whether fluid can run through the holder")
    return Link("holder", passage, "fluid runs through the holder" if passage.value else "the holder has no passage")


def _clamping(setup: Setup) -> Link:
    sealed, jets = setup.holder.field("sealed"), setup.holder.field("jets")
    if jets.is_yes:
        return Link("clamping", no(*jets.evidence), f"the clamping leads the fluid out as {JETS}")
    if not sealed.is_known:
        return Link("clamping", sealed, "it is not known whether the clamping is sealed around the shank")
    return Link("clamping", sealed, "the clamping is sealed" if sealed.value else "the clamping leaks along the shank")


def tool_passes(tool: "Record") -> Truth:
    """Has the tool passages for fluid: what the record says, else its entry and exit style codes (0: none)."""
    through = tool.field("fluid.through")
    if through.is_known:
        return through
    for code in ("CNSC", "CXSC"):
        style = tool.field(code)
        if style.is_known:
            return style.map(lambda value: value != "0")
    return through


def _tool(setup: Setup) -> Link:
    passes = tool_passes(setup.tool)
    if not passes.is_known:
        return Link("tool", passes, f"it is not known whether {setup.name} has passages for fluid")
    return Link(
        "tool", passes, f"{setup.name} has passages for fluid" if passes.value else f"{setup.name} has no passages for fluid"
    )


def _inner_reach(setup: Setup) -> Link:
    """Out of the tool it is at the edge; out of the clamping it reaches as far as a flood."""
    passes, leaks = tool_passes(setup.tool), setup.holder.field("jets").is_yes or setup.holder.field("sealed").is_no
    if passes.is_no and leaks:
        return _reach(setup)
    if passes.is_yes and not setup.holder.field("jets").is_yes:
        return Link("reach", passes, "it comes out at the tip")
    if not passes.is_known:
        return Link("reach", passes, "where it comes out is not known")
    return _reach(setup)


def _reach(setup: Setup) -> Link:
    """How far fluid from outside comes: a few diameters into a hole."""
    if not setup.depth.is_known or not setup.diameter.is_known:
        missing, evidence = (
            merged(setup.depth.missing + setup.diameter.missing),
            merged(setup.depth.evidence + setup.diameter.evidence),
        )
        return Link("reach", unknown(*missing, evidence=evidence), "it is not known how deep, in diameters, the edge works")
    evidence = merged(setup.depth.evidence + setup.diameter.evidence)
    ratio = setup.depth.value / setup.diameter.value if setup.diameter.value > 0 else 0.0
    computed = Evidence("depth over diameter", round(ratio, 2), source="computed", note=REACH_NOTE)
    if ratio <= FLOOD_REACH:
        return Link("reach", yes(computed, *evidence), f"{ratio:.1f} diameters deep: fluid from outside reaches the edge")
    if setup.in_hole:
        return Link("reach", no(computed, *evidence), f"{ratio:.1f} diameters deep: fluid from outside does not reach the tip")
    question = (
        f"does fluid from outside reach the edge of {setup.name}, {setup.depth.value * 1e3:.0f} mm deep ({ratio:.1f} diameters)?"
    )
    return Link(
        "reach", unknown(Missing("program", "", question), evidence=(computed, *evidence)), "walls may shut the fluid out"
    )


def wet(states: Sequence[Fluid], made: Sequence[Chain], modes: Sequence[str] = LIQUID) -> Truth:
    """Does fluid of one of the modes reach the edge in every one of the states."""
    arrivals = {chain.mode: chain.wets for chain in made if chain.mode in modes}
    return every(_arrives(state, arrivals, modes) for state in states)


def _arrives(state: Fluid, arrivals: dict[str, Truth], modes: Sequence[str]) -> Truth:
    command = commanded(state, modes)
    if command.is_no:
        return command
    return some(every((commanded(state, (mode,)), arrives)) for mode, arrives in arrivals.items())


def _words(mode: str) -> str:
    return mode.replace("_", " ")
