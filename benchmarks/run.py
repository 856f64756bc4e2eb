"""One measurement in a process of its own, so that its memory is its own."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from typing import TypedDict

from benchmarks.sites import site

_GRACE = 600.0


class Measured(TypedDict, total=False):
    """Seconds, unless said.

    Attributes
    ----------
    first : float or None
        Until the first design; None if there was none.
    proof : float or None
        Until the proof; None if time ran out.
    gap : float or None
        Part of the price that is not proven.
    memory : int
        Most in use at once. [MiB]
    plain, plain_status, plain_gap : float, str, float
        HiGHS on the plain program.
    """

    kind: str
    cameras: int
    load: float
    build: float
    first: float | None
    search: float
    proof: float | None
    status: str
    net: int | None
    bound: int | None
    gap: float | None
    memory: int
    columns: int
    rows: int
    plain: float
    plain_status: str
    plain_net: int | None
    plain_gap: float | None
    error: str


def in_child(kind: str, cameras: int, seconds: float, plain: bool) -> Measured:
    """Measure in a child process."""
    call = [sys.executable, "-m", "benchmarks.run", kind, str(cameras), str(seconds)]
    done = subprocess.run(
        [*call, "plain" if plain else "own"],
        capture_output=True,
        text=True,
        timeout=2 * seconds + _GRACE,
        check=False,
    )
    if done.returncode:
        last = (done.stderr.strip().splitlines() or ["no message"])[-1]
        return {"kind": kind, "cameras": cameras, "error": last}
    found: Measured = json.loads(done.stdout.strip().splitlines()[-1])
    return found


def own(kind: str, cameras: int, seconds: float) -> Measured:
    """The program with its reductions and this project's search."""
    start = time.perf_counter()
    from optimizer.instance import build_instance
    from optimizer.model import build
    from optimizer.pricebook import load_book
    from optimizer.solving.search import minimise

    asked, book = site(kind, cameras), load_book()
    loaded = time.perf_counter()
    draft = build(build_instance(asked, book))
    built = time.perf_counter()
    first: list[float] = []

    def heard(text: str) -> None:
        if not first and "none yet" not in text:
            first.append(time.perf_counter() - built)

    found = minimise(draft, seconds, heard)
    search = time.perf_counter() - built
    proven = found.status in ("optimal", "infeasible")
    return {
        "kind": kind,
        "cameras": cameras,
        "load": loaded - start,
        "build": built - loaded,
        "first": first[0] if first else None,
        "search": search,
        "proof": search if proven else None,
        "status": found.status,
        "net": found.objective,
        "bound": found.bound,
        "gap": _gap(found.objective, found.bound),
        "memory": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
        "columns": len(draft.program.names),
        "rows": len(draft.program.rows),
    }


def plain(kind: str, cameras: int, seconds: float) -> Measured:
    """The program without reductions and linking rows, by HiGHS."""
    from optimizer.instance import build_instance
    from optimizer.model import build
    from optimizer.pricebook import load_book
    from optimizer.solving import highs

    draft = build(build_instance(site(kind, cameras), load_book(), reduce=False), linked=False)
    start = time.perf_counter()
    found = highs.solve(draft.program, seconds)
    return {
        "plain": time.perf_counter() - start,
        "plain_status": found.status,
        "plain_net": found.objective,
        "plain_gap": _gap(found.objective, found.bound),
        "columns": len(draft.program.names),
        "rows": len(draft.program.rows),
    }


def _gap(net: int | None, bound: int | None) -> float | None:
    return None if net is None or bound is None else (net - bound) / max(net, 1)


if __name__ == "__main__":
    measure = plain if sys.argv[4] == "plain" else own
    sys.stdout.write(json.dumps(measure(sys.argv[1], int(sys.argv[2]), float(sys.argv[3]))) + "\n")
