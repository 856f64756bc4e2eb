"""Options that several commands share, and checks of what is given for them."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, TypeVar

import click

FC = TypeVar("FC", bound=Callable[..., Any])

LEAST_TIME_S = 0.1
MOST_TIME_S = 1_000_000

book_option = click.option(
    "--book",
    metavar="FILE",
    help="Price book: a YAML file, a table or a folder of tables. Without it, the built-in book "
    "with invented items and prices.",
)
json_option = click.option(
    "--json",
    "json_to",
    metavar="FILE",
    help="Also write the result as JSON; with - it goes to standard output in place of the report.",
)
quiet_option = click.option("--quiet", is_flag=True, help="No progress and no notes.")

plot_option = click.option(
    "--plot",
    metavar="FILE",
    help="Also draw it, as .svg or .png; needs an extra package, in your copy of leastkit: "
    ".venv/bin/pip install -e '.[plot]'.",
)


def believable_time(_ctx: click.Context, _param: click.Parameter, seconds: float) -> float:
    """Refuse times that cannot be meant."""
    if not LEAST_TIME_S <= seconds <= MOST_TIME_S:
        raise click.BadParameter(f"give {LEAST_TIME_S} to {MOST_TIME_S:,} seconds")
    return seconds


def currency_code(_ctx: click.Context, _param: click.Parameter, code: str) -> str:
    """Refuse what is no code of a currency."""
    if re.fullmatch("[A-Z]{3}", code) is None:
        raise click.BadParameter("give a code of three capitals, such as EUR")
    return code


def time_limit(words: str) -> Callable[[FC], FC]:
    """The option --time, with what the time is for."""
    return click.option(
        "--time",
        "seconds",
        metavar="SECONDS",
        type=float,
        default=60.0,
        show_default="60",
        callback=believable_time,
        help=words,
    )


time_option = time_limit(
    "Time to spend on everything asked; then the best kit found so far is the answer, with how far "
    "it may be from the cheapest, and what is not settled is left open."
)
