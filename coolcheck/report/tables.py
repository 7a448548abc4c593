"""Tables in plain text that keep to a width: what is too long for its column goes on in the next line."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from coolcheck.report.cells import padded, width, wrapped

GAP = "  "
NARROWEST = 7  # no column is squeezed below this


@dataclass(frozen=True, slots=True)
class Column:
    """A column: numbers stand at the `right`; only one that `wraps` gives way when the table is too wide."""

    title: str
    right: bool = False
    wraps: bool = False


def table(columns: Sequence[Column], rows: Sequence[Sequence[str]], columns_wide: int) -> Iterator[str]:
    """The lines of a table, headings first. A cell may hold several lines of its own, parted by line feeds."""
    widths = column_widths(columns, rows, columns_wide)
    yield from row_lines([column.title for column in columns], columns, widths)
    yield GAP.join("-" * wide for wide in widths)
    for row in rows:
        yield from row_lines(row, columns, widths)


def column_widths(columns: Sequence[Column], rows: Sequence[Sequence[str]], columns_wide: int) -> list[int]:
    """The natural width of each column, those that wrap squeezed until the table fits."""
    widths = [
        max(width(line) for cell in [column.title, *(row[at] for row in rows)] for line in cell.split("\n"))
        for at, column in enumerate(columns)
    ]
    over = sum(widths) + len(GAP) * (len(widths) - 1) - columns_wide
    while over > 0:
        soft = [at for at, column in enumerate(columns) if column.wraps and widths[at] > narrowest(column)]
        if not soft:
            break
        widest = max(soft, key=lambda at: widths[at])
        widths[widest] -= 1
        over -= 1
    return widths


def narrowest(column: Column) -> int:
    """How far a column may be squeezed: no word of its title is parted."""
    return max(NARROWEST, *(width(word) for word in column.title.split()))


def row_lines(row: Sequence[str], columns: Sequence[Column], widths: Sequence[int]) -> Iterator[str]:
    """The lines of one row."""
    cells = [[line for part in cell.split("\n") for line in wrapped(part, wide)] for cell, wide in zip(row, widths, strict=True)]
    for at in range(max(len(lines) for lines in cells)):
        parts = [
            padded(lines[at] if at < len(lines) else "", wide, column.right)
            for lines, wide, column in zip(cells, widths, columns, strict=True)
        ]
        yield GAP.join(parts).rstrip()
