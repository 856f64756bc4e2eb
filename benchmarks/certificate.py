"""How long a certificate takes, how large it is, how long the checker reads it.

``python -m benchmarks.certificate`` solves invented sites, then proves without a solver's word that
no kit costs less. A size whose price is not proven in the time is said to be so.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

import click
from rich.console import Console
from rich.table import Table

from benchmarks.sites import KINDS, site
from optimizer.explaining.certificate import certify_site, write_folder
from optimizer.instance import Instance, build_instance
from optimizer.pricebook import load_book
from optimizer.solving.pursue import pursue

_NO_FILE = "0" * 64


@click.command()
@click.option("--sizes", default="6,16", show_default=True, help="Numbers of zones.")
@click.option("--kinds", default=",".join(KINDS), show_default=True, help="Kinds of site.")
@click.option("--seconds", default=60.0, show_default=True, help="Limit of each search.")
def main(sizes: str, kinds: str, seconds: float) -> None:
    """Time certificates of "no kit costs less" on invented sites."""
    table = Table(title=f"Certificates, at most {seconds:g} s each")
    for column in (
        "zones", "kind", "price s", "find s", "sums", "proof kB", "folder kB", "check s", "said",
    ):  # fmt: skip
        table.add_column(column, justify="right")
    book = load_book()
    for size in sizes.split(","):
        for kind in kinds.split(","):
            click.echo(f"{kind}, {size} zones ...", err=True)
            instance = build_instance(site(kind, int(size)), book)
            table.add_row(size, kind, *_measured(instance, seconds))
    Console(width=120).print(table)


def _measured(instance: Instance, seconds: float) -> list[str]:
    """Columns of the table after the first two."""
    start = time.perf_counter()
    found = pursue(instance, time.monotonic() + seconds, lambda _: None, ties=False).found
    price = f"{time.perf_counter() - start:.1f}"
    if found.status != "optimal" or found.objective is None:
        return [price, "-", "-", "-", "-", "-", "price not proven"]
    start = time.perf_counter()
    proven = certify_site(instance, seconds, found.objective)
    spent = f"{time.perf_counter() - start:.1f}"
    if proven is None:
        return [price, spent, "-", "-", "-", "-", "not found"]
    program, certificate = proven
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "certificate"
        write_folder(folder, program, certificate, _NO_FILE, _NO_FILE, "Measured.")
        start = time.perf_counter()
        said = subprocess.run(
            [sys.executable, str(folder / "check.py")], capture_output=True, text=True, check=False
        )
        checked = f"{time.perf_counter() - start:.2f}"
        proof = (folder / "proof.txt").stat().st_size
        whole = sum(file.stat().st_size for file in folder.iterdir())
    verdict = said.stdout.split(":")[0]
    figures = [str(certificate.sums), f"{proof / 1000:,.0f}", f"{whole / 1000:,.0f}", checked]
    return [price, spent, *figures, verdict]


if __name__ == "__main__":
    main()
