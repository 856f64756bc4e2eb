"""The sheet that everything is set on: widths, headings, tables and paragraphs.

Texts from files are printed as plain text, never as markup, and are wrapped, never cut.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rich.console import Console
from rich.measure import Measurement
from rich.rule import Rule
from rich.segment import Segment, Segments
from rich.table import Table
from rich.text import Text

from optimizer.errors import clean

WIDE = 120
"""From this many columns on, reasons and wiring stand beside their line instead of below it."""
WIDEST = 160
PROSE = 100
"""Paragraphs are not set wider than this, whatever the terminal."""

GLUE = "\ue000"
"""A blank at which no line is broken, until it is printed; a private character stands for it."""

HEADING = "bold"
QUIET = "dim"
STRONG = "bold"
GOOD = "bold green"
BAD = "bold red"


@dataclass(frozen=True)
class Column:
    """A column of a table: its heading, whether it holds figures, its least and greatest width."""

    heading: str
    figures: bool = False
    least: int | None = None
    most: int | None = None


class Page:
    """A console with the house's look.

    Parameters
    ----------
    console : Console
        Where it is printed; its width decides the layout.
    """

    def __init__(self, console: Console) -> None:
        self.console = console
        self.width = min(console.width, WIDEST)
        self.wide = self.width >= WIDE

    def rule(self) -> None:
        """A line across the page."""
        line = "-" if self.console.options.ascii_only else "─"
        self.console.print(Rule(style=QUIET, characters=line), width=self.width)

    def gap(self) -> None:
        """An empty line."""
        self.console.print()

    def heading(self, words: str, note: str = "") -> None:
        """A heading with an empty line above it and a quiet note beside it."""
        self.gap()
        text = Text(words, style=HEADING)
        if note:
            text.append(f"  {note}", style=f"not bold {QUIET}")
        self.text(text, hanging=2)

    def text(self, words: str | Text, indent: int = 0, hanging: int = 0, style: str = "") -> None:
        """A paragraph; lines after the first stand `hanging` columns further in."""
        text = bound(words if isinstance(words, Text) else Text(safe(words), style=style))
        room = max(min(self.width, PROSE) - indent - hanging, 20)
        for index, line in enumerate(text.wrap(self.console, room)):
            line.rstrip()
            line.plain = line.plain.replace(GLUE, " ")
            left = indent + (hanging if index else 0)
            self.console.print(Text(" " * left).append_text(line), soft_wrap=True)

    def run_in(self, parts: Iterable[tuple[str, str]], after: str = ": ") -> None:
        """Labels with their words as one paragraph; a star marks where each begins.

        It takes a third fewer lines of a narrow page than a list of them.
        """
        flow = Text()
        for label, words in parts:
            flow.append(" *" if flow else "*", style=QUIET)
            flow.append(f"{GLUE}{glued(safe(label))}{after}", style=STRONG).append(safe(words))
        self.text(flow, indent=1)

    def sides(self, left: Text, right: Text) -> None:
        """Two texts at the two ends of a line; the right one below where they do not fit."""
        space = self.width - left.cell_len - right.cell_len
        if space >= 2:
            self.console.print(left.append(" " * space).append_text(right), width=self.width)
        else:
            self.text(left)
            self.text(right)

    def table(self, columns: Sequence[Column]) -> Table:
        """An empty table without lines, headings quiet, figures to the right."""
        grid = Table(
            box=None,
            show_edge=False,
            pad_edge=False,
            padding=(0, 2, 0, 0),
            header_style=QUIET,
        )
        for column in columns:
            grid.add_column(
                column.heading,
                justify="right" if column.figures else "left",
                no_wrap=column.figures,
                overflow="fold",
                min_width=column.least,
                max_width=column.most,
            )
        return grid

    def put(self, grid: Table, dense: bool = False) -> None:
        """Print a table, without blanks at the ends of its lines.

        Parameters
        ----------
        dense : bool
            Set the columns closer together where a narrow page has no room for the table.
        """
        options = self.console.options.update(width=self.width)
        narrow = dense and not self.wide
        if narrow and Measurement.get(self.console, options, grid).maximum >= self.width:
            grid.padding = (0, 1, 0, 0)
        out: list[Segment] = []
        for cells in self.console.render_lines(grid, options, pad=False):
            while cells and not cells[-1].text.strip():
                cells.pop()
            if cells:
                last = cells.pop()
                cells.append(Segment(last.text.rstrip(), last.style, last.control))
            out += [Segment(c.text.replace(GLUE, " "), c.style, c.control) for c in cells]
            out.append(Segment.line())
        self.console.print(Segments(out), end="", soft_wrap=True)


_UNITS = "m|mm|cm|ft|A|mA|V|W|GB|TB|TiB|lx|h|fps|C|%|px/m|kbit/s|days|ends|pieces"
_FIGURE = re.compile(
    rf"(?<=\d) (?=(?:{_UNITS})(?![\w/]))|(?<= requires) (?=\d)|(?<=[ \d]V) (?=[AD]C\b)"
)


def bound(text: Text) -> Text:
    """The text with figures bound to their units, so that no line is broken between them."""
    text.plain = _FIGURE.sub(GLUE, text.plain)
    return text


def glued(words: str) -> str:
    """Words that stay on one line."""
    return words.replace(" ", GLUE)


def safe(words: str) -> str:
    """A text that may come from a file, without anything that a terminal would obey."""
    return clean(words, 2000)


def row(cells: Iterable[str | Text], style: str = "") -> list[Text]:
    """Cells of a table row as plain text."""
    return [bound(c if isinstance(c, Text) else Text(safe(c), style=style)) for c in cells]
