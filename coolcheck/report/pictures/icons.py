"""The links of a delivery chain as small drawings, and the marks for yes, no and unknown."""

from markupsafe import Markup

from coolcheck.report.pictures.svg import element

LINKS = {  # line drawings on a square of 48
    "commanded": "M12 6h18l6 6v30H12zM30 6v6h6M17 20h14M17 26h14M17 32h8",
    "machine": "M6 40h36M9 40V26h14v14M12 31q2.5 -3 5 0t5 0M33 12a9 9 0 1 0 0.01 0M33 14l6.5 10.5h-13zM23 33h10v-3",
    "spindle": "M14 6h20v16H14zM10 22h28v6H10zM18 28l3 14h6l3 -14M24 6v36",
    "pull_stud": "M18 6h12v5l-3 3v8h6v5H15v-5h6v-8l-3 -3zM19 27l1 15h8l1 -15M24 6v36",
    "holder": "M18 6h12l5 18H13zM9 24h30v7H9zM16 31h16v11H16zM24 6v36",
    "clamping": "M10 8h28l-6 30H16zM20 8v30M28 8v30M20 38h8M15 16l4 1M33 16l-4 1",
    "tool": "M18 5h12v10l-12 8v7l12 -8v9L24 43l-6 -7v-6M30 15v7M18 23v-8M24 5v6",
    "reach": "M6 14h12v26h12V14h12M20 4h8v22l-4 6l-4 -6zM20 36q1 -3 2 0M26 36q1 -3 2 0",
}
FLAGS = {
    "yes": "M4 10l4 4l8 -9",
    "no": "M5 5l10 10M15 5l-10 10",
    "unknown": "M6 7q0 -4 4 -4t4 4q0 3 -4 4v2M10 17v0.6",
}
VERDICTS = {  # shapes that differ without their colour: eight corners, three corners, round
    "not ready": "M20 4h24l16 16v24L44 60H20L4 44V20zM22 22l20 20M42 22L22 42",
    "cannot tell": "M32 5L61 57H3zM26 28q0 -6 6 -6t6 6q0 5 -6 6v4M32 46v1",
    "ready": "M32 4a28 28 0 1 0 0.01 0M19 33l9 9l18 -19",
    "not read": "M14 4h26l12 12v44H14zM40 4v12h12M24 30l18 18M42 30L24 48",
}


def link(name: str) -> Markup:
    """The drawing of a link; its name stands beside it."""
    path = element("path", d=LINKS.get(name, LINKS["commanded"]))
    return element("svg", path, class_="link-icon", viewBox="0 0 48 48", width=48, height=48, aria_hidden="true")


def flag(passes: str) -> Markup:
    """The mark for yes, no or unknown; the word stands beside it."""
    path = element("path", d=FLAGS[passes])
    return element("svg", path, class_=f"flag flag-{passes}", viewBox="0 0 20 20", width=20, height=20, aria_hidden="true")


def verdict(name: str) -> Markup:
    """The shape of a verdict."""
    path = element("path", d=VERDICTS[name])
    return element("svg", path, class_="verdict-icon", viewBox="0 0 64 64", width=64, height=64, aria_hidden="true")
