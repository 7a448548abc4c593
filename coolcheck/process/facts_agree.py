"""Facts of where program, comments and tool record tell different stories: kind and size of a tool, feed and speed."""

from coolcheck.known import Evidence, Known, Missing, Truth, combined, known, some, unknown
from coolcheck.place import Place
from coolcheck.process.cutting_load import recorded_speed
from coolcheck.process.fact import computed, fact, meaningless, said
from coolcheck.process.facts_operation import cutting_speed, feed_per_turn
from coolcheck.process.model import Operation, Timeline
from coolcheck.process.moments import ToolUse, remembered, tool_name
from coolcheck.records import quantity
from coolcheck.records.program_tools import ProgramTool, Said, tools_of
from coolcheck.records.quantity import NotAQuantity
from coolcheck.records.record import Section

# Words that people use for one another stand in one family; kinds in none (boring bars, thread mills) are not compared, because a
# comment often names the work there and not the tool.
FAMILIES = {
    "drill": ("drill", "gun_drill", "indexable_drill", "step_drill"),
    "tap": ("tap", "form_tap"),
    "mill": ("end_mill", "ball_mill", "bull_mill", "face_mill", "shell_mill"),
    "reamer": ("reamer",),
}
FAMILY_OF = {kind: family for family, kinds in FAMILIES.items() for kind in kinds}
SAME_SIZE = 0.02  # share of the diameter by which a comment may round it


def _told(use: ToolUse, timeline: Timeline) -> ProgramTool | None:
    """What the comments of the program say of the tool."""
    told = remembered(timeline, "tools in comments", lambda: tools_of(timeline.execution.program).tools)
    return next((tool for tool in told if tool.number == use.tool), None)


def _comment(said_: Said, name: str, timeline: Timeline) -> Evidence:
    place = Place(timeline.execution.program.source.name, said_.line)
    return Evidence(name, said_.value, place=place, source="comment", note=said_.text)


@fact("tool")
def comment_disagrees(use: ToolUse, timeline: Timeline) -> Truth:
    """The comment at the tool names another kind or diameter than its record."""
    told = _told(use, timeline)
    doubts: list[Truth] = []
    if told is not None and use.record.is_present:
        kind, size = told.said.get("kind"), told.said.get("DC")
        if kind is not None and kind.value in FAMILY_OF:
            recorded: Known[str] = use.record.field("kind")
            other = recorded.map(lambda word: FAMILY_OF.get(word, FAMILY_OF[kind.value]) != FAMILY_OF[kind.value])
            doubts.append(other.because(_comment(kind, "kind in the comment", timeline)))
        if size is not None:
            stated, wide = _length(size.value), use.record.field("DC")
            other = wide.map(lambda d: stated is not None and abs(d - stated) > SAME_SIZE * d)
            doubts.append(other.because(_comment(size, "diameter in the comment", timeline)))
    if not doubts:
        return said(False, "comment", "no comment of the program tells its kind or diameter")
    return some(doubts)


def _length(text: str) -> float | None:
    """The length that a comment states [m]; None for a number without a unit in a program that states none."""
    try:
        return quantity.parse(text, "length").si
    except NotAQuantity:
        return None


@fact("tool")
def comment_says(use: ToolUse, timeline: Timeline) -> Known[str]:
    """What the comment says of it."""
    told = _told(use, timeline)
    words = [told.said[name].text for name in ("DC", "kind") if told is not None and name in told.said]
    return known(words[0] if words else "nothing")


# feed and speed


def _conditions(operation: Operation, timeline: Timeline) -> Known[Section]:
    """The entry of the tool record for the work material: by its name, else by its group."""
    material = timeline.binding.material
    for key in (material.field("material"), material.field("group")):
        if key.is_known:
            entry = operation.tool_record.entry("cutting", key.value)
            if entry.is_present:
                return known(entry, *key.evidence)
    if not operation.tool_record.is_present:
        return unknown(*operation.tool_record.field("cutting").missing)
    if operation.tool_record.has("cutting") and not material.field("material").is_known:
        return unknown(*material.field("material").missing)
    return meaningless_data(operation)


def meaningless_data(operation: Operation) -> Known[Section]:
    """Nobody asks a shop for cutting data that its tool record does not give."""
    says = f"the record of {tool_name(operation.tool)} gives no such cutting data for this material"
    return unknown(Missing("physics", "", says))  # so it stays a note


@fact("operation")
def speed_over_record(operation: Operation, timeline: Timeline) -> Known[float]:
    """Cutting speed over that of the tool record for this material."""
    entry = _conditions(operation, timeline)
    if not entry.is_known:
        return unknown(*entry.missing)
    if not entry.value.field("vc").is_known and not entry.value.field("n").is_known:
        return unknown(*meaningless_data(operation).missing)
    return _over("speed over the record", cutting_speed(operation, timeline), recorded_speed(operation, timeline))


@fact("operation")
def feed_over_record(operation: Operation, timeline: Timeline) -> Known[float]:
    """Feed per revolution over that of the tool record for this material."""
    entry = _conditions(operation, timeline)
    if not entry.is_known:
        return unknown(*entry.missing)
    f, fz = entry.value.field("f"), entry.value.field("fz")
    if not f.is_known and not fz.is_known:
        return unknown(*meaningless_data(operation).missing)
    stated = f if f.is_known else combined(lambda tooth, teeth: tooth * teeth, fz, operation.tool_record.field("ZEFP"))
    return _over("feed over the record", feed_per_turn(operation, timeline), stated)


def _over(name: str, programmed: Known[float], stated: Known[float]) -> Known[float]:
    if stated.is_known and stated.value <= 0:
        return meaningless("the tool record gives a feed or speed of zero")
    ratio: Known[float] = combined(lambda here, there: here / there, programmed, stated)
    return ratio.because(computed(name, ratio.value)) if ratio.is_known else ratio
