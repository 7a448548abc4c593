"""How deep a drill goes, and how: one pass or pecks, pilot and entry, less speed with depth, the pressure it wants.

Advice in print is a band, and one source contradicts another. So an `Advice` has a lower bound, up to which its source sees no
trouble, an upper one, beyond which it says no, and names the rule. Between the bounds nothing is decided. A tool's own record
comes first, always.
"""

from math import inf, isfinite
from typing import NamedTuple

from coolcheck.physics.tables import between, number, table
from coolcheck.physics.valid import OutOfRange, not_negative, positive, within

_BAR = 1e5


class Advice(NamedTuple):
    """What print advises: from `low` to `high` (infinite where it sets no bound), by which rule of which source. SI units."""

    low: float
    high: float
    rule: str
    source: str

    @property
    def is_from_memory(self) -> bool:
        """No page was read for at least one of the bounds."""
        return "from memory" in self.source


class Reduction(NamedTuple):
    """Factors on the speed and the feed for shallow holes [-]."""

    speed: float
    feed: float


class Pilot(NamedTuple):
    """Pilot hole and entry of a long drill; NaN where the source gives no number.

    from_depth : depth of the hole from which the rule holds [m]; is_needed : this hole is as deep or deeper
    least, most : depth of the pilot [m]; n : entry speed [1/s]; vf : entry feed [m/s]; tolerance : ISO 286 class of the pilot
    """

    is_needed: bool
    from_depth: float
    least: float
    most: float
    n: float
    vf: float
    tolerance: str
    source: str


def one_pass_depth(tool: str, substrate: str, fluid: str, DC: float, pressure: float = 0.0) -> Advice:
    """Depth that print allows in one stroke: sure up to the lower bound, no longer above the upper one.

    tool : drill, indexable_drill or gun_drill [word]
    substrate : HSS, hardmetal, ... [word]
    fluid : outside or through_tool [word]
    DC : cutting diameter [m]
    pressure : at the tip, for through_tool [Pa]
    returns : depths below the surface, the rule and its source [m]

    Valid: pairs of tool, substrate, fluid, diameter and pressure that a rule of the table covers; of several the deepest counts.
    Source: tables/one_pass_depth_rules.csv, each row with its own source.

    >>> advice = one_pass_depth("drill", "hardmetal", "through_tool", DC=0.0085, pressure=70e5)
    >>> round(advice.low * 1000, 1), round(advice.high * 1000, 1), advice.rule    # mm
    (119.0, 127.5, 'hardmetal drill with fluid holes')
    >>> one_pass_depth("drill", "HSS", "outside", DC=0.010).low
    0.03
    """
    size, bar = round(positive("diameter DC [m]", DC) * 1000, 9), round(not_negative("pressure [Pa]", pressure) / _BAR, 9)
    best = None
    for row in table("one_pass_depth_rules"):
        named = row["tool"] == tool and row["substrate"] in ("", substrate) and row["fluid"] == fluid
        fits = _low(row["least_DC_mm"]) <= size <= _high(row["most_DC_mm"]) and _low(row["least_bar"]) <= bar
        if named and fits and (best is None or float(row["sure_D"]) > float(best["sure_D"])):
            best = row
    if best is None:
        asked = f"{substrate} {tool} of {size:g} mm, fluid {fluid} at {bar:g} bar"
        raise OutOfRange("one-pass depth", asked, "the rules in print", "tables/one_pass_depth_rules.csv")
    return Advice(_low(best["sure_D"]) * DC, _high(best["most_D"]) * DC, best["rule"], best["source"])


def peck_depth(stroke: str, substrate: str, fluid: str, DC: float) -> Advice:
    """Depth of a peck that print advises.

    stroke : first or next [word]
    substrate : HSS or hardmetal [word]
    fluid : outside; with fluid through the tool no rule asks for pecks [word]
    DC : cutting diameter [m]
    returns : depths of the peck, the rule and its source [m]

    Valid: twist drills with fluid from outside; shallower in metal that sticks.
    Source: tables/peck_rules.csv, each row with its own source; mostly from memory.

    >>> advice = peck_depth("first", "HSS", "outside", DC=0.010)
    >>> advice.low, advice.high
    (0.02, 0.03)
    """
    positive("diameter DC [m]", DC)
    for row in table("peck_rules"):
        if (row["stroke"], row["substrate"], row["fluid"]) == (stroke, substrate, fluid):
            rule = f"{stroke} peck of a {substrate} {row['tool']}"
            return Advice(float(row["least_D"]) * DC, float(row["most_D"]) * DC, rule, row["source"])
    raise OutOfRange("peck depth", f"{stroke} peck, {substrate}, fluid {fluid}", "the rules in print", "tables/peck_rules.csv")


def peck_by_chip_room(depth: float, bulk_ratio: float, flute_share: float = 0.45) -> float:
    """Depth of a peck whose chips would all find room in the flutes, if none left the hole on the way.

    q = phi z / R

    depth : depth already drilled, z [m]
    bulk_ratio : volume of loose chips over that of the solid, R, see `chip_bulk_ratio` [-]
    flute_share : part of the drill's cross section that is flute, phi; 0.45 from memory [-]
    returns : depth of the peck [m]

    Valid: pessimistic, flutes carry chips out; only to rank risks of packing, never as a limit.
    Source: derived: a volume balance.

    >>> round(peck_by_chip_room(depth=0.050, bulk_ratio=7) * 1000, 2)    # mm: 0.32 D of a 10 mm drill
    3.21
    """
    within("flute share", flute_share, 0.1, 0.8, "a twist drill")
    within("bulk ratio", bulk_ratio, 1, 100, "loose chips")
    return flute_share * not_negative("depth [m]", depth) / bulk_ratio


def chip_bulk_ratio(metal: str, chips: str) -> tuple[float, float]:
    """Volume of loose chips over that of the solid they came from, least and most.

    metal : steel, cast iron, brass or aluminium [word]
    chips : fine, broken, light turnings or heavy turnings [word]
    returns : least and most ratio [-]

    Valid: the pairs of the table.
    Source: bulk densities in a chip-handling guide over the density of the solid (tables/chip_bulk_ratios.csv).

    >>> chip_bulk_ratio("steel", "broken")
    (6.5, 8.9)
    """
    for row in table("chip_bulk_ratios"):
        if (row["metal"], row["chips"]) == (metal, chips):
            return float(row["least"]), float(row["most"])
    raise OutOfRange("chips", f"{chips} of {metal}", "the pairs of the table", "tables/chip_bulk_ratios.csv")


def depth_reduction(depth: float, DC: float) -> Reduction:
    """How much speed and feed remain for a deep hole, of those right for shallow ones.

    depth : depth of the hole below the surface [m]
    DC : cutting diameter [m]
    returns : factors on speed and feed, straight lines between the depths of the table [-]

    Valid: HSS twist drills under flood, without fluid holes, to 6 D; at 2 D and less nothing is taken off.
    Source: two copies of a drill-shop guide in print (tables/drill_shop_depth_reduction.csv).

    >>> depth_reduction(depth=0.050, DC=0.010)
    Reduction(speed=0.7, feed=0.8)
    """
    ratio = max(2.0, not_negative("depth [m]", depth) / positive("diameter DC [m]", DC))
    file = "drill_shop_depth_reduction"
    return Reduction(between(file, "depth_D", ratio, "speed"), between(file, "depth_D", ratio, "feed"))


def diameter_speed_factor(DC: float) -> float:
    """Factor on the drilling speed for the diameter, at the tabulated feed.

    DC : cutting diameter [m]
    returns : factor, 1 at 15 mm [-]

    Valid: 2 to 50 mm.
    Source: Machinery's Handbook, 31st ed., 2020, p. 1138, Table 22, sample entries, straight lines between them.

    >>> diameter_speed_factor(0.010)
    0.78
    """
    return between("machinerys_handbook_31_diameter_speed", "D_mm", positive("diameter DC [m]", DC) * 1000, "factor")


def hss_drilling_speed(material: str) -> tuple[float, float]:
    """Cutting speed of HSS twist drills in shallow holes, least and most.

    material : as the table names it [word]
    returns : least and most cutting speed vc [m/s]

    Valid: the materials of the table, holes of about 2 D and less.
    Source: drill-shop guides in print (tables/drill_shop_hss_speeds.csv).

    >>> [round(v * 60) for v in hss_drilling_speed("mild steel")]    # m/min
    [24, 34]
    """
    file = "drill_shop_hss_speeds"
    return number(file, "material", material, "least") / 60, number(file, "material", material, "most") / 60


def feed_at_interruption(where: str) -> float:
    """Part of the feed to keep where a drill meets other than solid, level work.

    where : cross hole, oblique exit or angled entry of an indexable drill [word]
    returns : factor on the feed [-]

    Valid: the three cases of the table.
    Source: tables/feed_at_interruptions.csv, each row with its own source.

    >>> feed_at_interruption("cross hole")
    0.5
    """
    return number("feed_at_interruptions", "where", where, "factor")


def pilot(tool: str, substrate: str, DC: float, depth: float) -> Pilot:
    """Does a drill need a pilot hole, and how does it enter it?

    tool : drill, indexable_drill (exchangeable head) or gun_drill [word]
    substrate : HSS, hardmetal, ... [word]
    DC : cutting diameter [m]
    depth : depth of the hole below the surface [m]
    returns : the need, pilot depth [m], entry speed [1/s] and feed [m/s], tolerance class, source

    Valid: tools that the table covers; it says nothing about HSS drills.
    Source: tables/pilot_rules.csv: a trade page on start holes, a deep-drill instruction sheet, a gun-drill guide.

    >>> hole = pilot("drill", "hardmetal", DC=0.006, depth=0.150)
    >>> hole.is_needed, hole.least, round(hole.n * 60), round(hole.vf * 60_000), hole.tolerance    # rpm, mm/min
    (True, 0.006, 300, 500, 'F9')
    """
    ratio = not_negative("depth [m]", depth) / positive("diameter DC [m]", DC)
    for row in table("pilot_rules"):
        if row["tool"] == tool and row["substrate"] in ("", substrate):
            first = float(row["from_depth_D"])
            n, vf = _low(row["entry_rpm"], float("nan")) / 60, _low(row["entry_mm_min"], float("nan")) / 60_000
            least, most = float(row["least_pilot_D"]) * DC, float(row["most_pilot_D"]) * DC
            return Pilot(ratio >= first - 1e-9, first * DC, least, most, n, vf, row["tolerance"], row["source"])
    raise OutOfRange("pilot", f"{substrate} {tool}", "the rules in print", "tables/pilot_rules.csv")


def drilling_pressure(tool: str, substrate: str, DC: float, depth: float) -> Advice:
    """Pressure at the tip that print asks for, by kind of drill, diameter and depth.

    tool : drill (with fluid holes) or gun_drill [word]
    substrate : HSS, hardmetal, ... [word]
    DC : cutting diameter [m]
    depth : depth of the hole below the surface [m]
    returns : least and most pressure, the rule and its source [Pa]

    Valid: tools and depths of the table; twist drills below 16 D, hardmetal drills to 40 D.
    Source: tables/pressure_rules.csv, each row with its own source.

    >>> advice = drilling_pressure("drill", "hardmetal", DC=0.006, depth=0.150)
    >>> round(advice.low / 1e5), round(advice.high / 1e5), advice.rule    # bar
    (62, 69, 'very long hardmetal drill')
    """
    size = round(positive("diameter DC [m]", DC) * 1000, 9)
    ratio = round(not_negative("depth [m]", depth) * 1000 / size, 9)
    for row in table("pressure_rules"):
        named = row["tool"] == tool and row["substrate"] in ("", substrate)
        deep = _low(row["least_depth_D"]) <= ratio < _high(row["most_depth_D"])
        if named and deep and _low(row["least_DC_mm"]) <= size < _high(row["most_DC_mm"]):
            return Advice(float(row["least_bar"]) * _BAR, _high(row["most_bar"]) * _BAR, row["rule"], row["source"])
    asked = f"{substrate} {tool} of {size:g} mm, {ratio:g} D deep"
    raise OutOfRange("drilling pressure", asked, "the rules in print", "tables/pressure_rules.csv")


def decides(advice: Advice, value: float) -> str:
    """What an advice says about a value: within it, beyond it, or nothing.

    advice : lower and upper bound [any SI unit]
    value : the value in question [as advice]
    returns : "within" up to the lower bound, "beyond" above the upper one, else "between" [word]

    Valid: advice whose lower bound is the safe side, such as `one_pass_depth`.
    Source: a definition of this package.

    >>> advice = one_pass_depth("drill", "HSS", "outside", DC=0.010)
    >>> [decides(advice, depth) for depth in (0.030, 0.035, 0.041)]
    ['within', 'between', 'beyond']
    """
    if not isfinite(value):
        raise OutOfRange("value", value, "finite numbers", advice.source)
    return "within" if value <= advice.low * (1 + 1e-9) else "beyond" if value > advice.high * (1 + 1e-9) else "between"


def _low(cell: str, empty: float = 0.0) -> float:
    return float(cell) if cell else empty


def _high(cell: str) -> float:
    return float(cell) if cell else inf
