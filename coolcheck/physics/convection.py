"""How well each fluid mode takes heat from an edge. Figures in print are few and wide: bands, never one number."""

from coolcheck.physics.band import Band
from coolcheck.physics.tables import table
from coolcheck.physics.valid import OutOfRange, within

JETS_KNOWN_TO = 30e5  # Pa; above this no heat transfer coefficient on a cutting edge was found in print
FLOODING = ("flood", "ring", "nozzle", "wash")


def heat_transfer_coefficient(mode: str, base: str = "water_mix", p: float = 0.0) -> Band:
    """How well a fluid mode takes heat from an edge, as a band.

    mode : dry | air | through_air | mist | minimum_quantity | flood | ring | nozzle | wash | through_tool [-]
    base : of the liquid: water_mix or neat_oil [-]
    p : pressure in front of the jet; needed for through_tool only [Pa]
    returns : least, likely and greatest heat transfer coefficient [W/(m²·K)]

    Valid: an order of magnitude. A jet above 30 bar is a gap: no figure for a cutting edge was found in print.
    Source: tables/heat_transfer.csv. Through-tool fluid up to 30 bar is read as flood.

    >>> heat_transfer_coefficient("flood").likely
    2000.0
    """
    medium = {"dry": "dry", "air": "air blast", "through_air": "air blast", "mist": "mist", "minimum_quantity": "mist"}
    if mode == "through_tool":
        within("pressure of the jet [Pa]", p, 0.0, JETS_KNOWN_TO, "no heat transfer coefficient for stronger jets was found")
    if mode in (*FLOODING, "through_tool"):
        return heat_transfer_envelope(f"flood {base}")
    if mode not in medium:
        raise OutOfRange("fluid mode", mode, ", ".join((*medium, *FLOODING, "through_tool")), "heat transfer table")
    return heat_transfer_envelope(medium[mode])


def heat_transfer_envelope(medium: str) -> Band:
    """A row of the table of heat transfer coefficients, with the envelopes that no fluid mode may claim.

    medium : dry | air blast | flood water_mix | flood neat_oil | mist | boiling | grinding wet [-]
    returns : least, likely and greatest heat transfer coefficient [W/(m²·K)]

    Valid: an order of magnitude; boiling and grinding wet are upper bounds for an edge.
    Source: tables/heat_transfer.csv, each row with its own.

    >>> heat_transfer_envelope("boiling").high
    100000.0
    """
    rows = {row["medium"]: row for row in table("heat_transfer")}
    if medium not in rows:
        raise OutOfRange("medium", medium, ", ".join(rows), "heat transfer table")
    row = rows[medium]
    return Band(float(row["low"]), float(row["likely"]), float(row["high"]), row["source"])
