"""Checks the proof in this folder, see README.txt: python3 check.py [SITE [BOOK ...]]"""

import hashlib
import pathlib
import sys
from typing import Any


def put(table: dict[Any, Any], key: Any, value: Any) -> None:
    if key in table:
        raise ValueError(f"{key} is stated twice")
    table[key] = value


def read_program(text: str) -> tuple[Any, ...]:
    section, whole, terms, names = "", False, dict[str, Any](), dict[str, int]()
    tables: Any = {"RHS": {}, "RANGES": {}, "LO": {}, "UP": {}, "files": {}}
    for line in text.splitlines():
        words = line.split()
        if line.startswith("*"):
            if words[2:3] == ["sha256"]:
                put(tables["files"], words[1], words[3])
        elif not line.startswith(" "):
            section = words[0]
        elif section == "ROWS":
            put(terms, words[1], (words[0], {}))
        elif section == "COLUMNS" and words[1] == "'MARKER'":
            whole = words[2] == "'INTORG'"
        elif section == "COLUMNS" and whole:
            put(terms[words[1]][1], names.setdefault(words[0], len(names)), int(words[2]))
        elif section in ("RHS", "RANGES", "BOUNDS"):
            way, name = (words[0], names[words[2]]) if section == "BOUNDS" else (section, words[1])
            put(tables[way], name, int(words[-1]))
        else:
            raise ValueError(f"not understood in program.mps: {line}")
    rows: list[Any] = []
    for name, (kind, coefs) in terms.items():
        side, ends = tables["RHS"].get(name, 0), {"E": "LU", "G": "L", "L": "U", "N": ""}[kind]
        top = side + {"G": abs(tables["RANGES"][name])}[kind] if name in tables["RANGES"] else None
        rows.append((coefs, side if "L" in ends else None, side if "U" in ends else top))
    low, high = ([tables[way][v] for v in range(len(names))] for way in ("LO", "UP"))
    return low, high, rows[1:], terms["cost"][1], tables["files"]


def check(low: list[int], high: list[int], rows: list[Any], lines: list[str]) -> int:
    rows, waiting = list(rows), [(low, high)]
    for line in lines:
        word, *rest = line.split()
        if word == "if":
            low, high = waiting.pop()
            var, edge = int(rest[0]), int(rest[2]) - {"<=": 0, ">=": 1}[rest[1]]
            below, above = list(high), list(low)
            below[var], above[var] = min(high[var], edge), max(low[var], edge + 1)
            waiting += [(above, high), (low, below)][:: 1 if rest[1] == "<=" else -1]
            continue
        total, least = dict[int, int](), 0
        for number, times in (map(int, part.split(":")) for part in rest):
            least += times * rows[number][1 if times > 0 else 2]
            for var, k in rows[number][0].items():
                total[var] = total.get(var, 0) + times * k
        low, high = waiting.pop()
        room = sum(k * (low, high)[k > 0][v] for v, k in total.items()) - least
        if word == "so":  # no variable may fall short of its best by more than the room
            low, high = list(low), list(high)
            for var, k in total.items():
                if k > 0:
                    low[var] = max(low[var], high[var] - room // k)
                elif k < 0:
                    high[var] = min(high[var], low[var] + room // -k)
            waiting.append((low, high))
        elif word != "by" or room >= 0:
            raise ValueError(f"not closed: {line[:60]}")
    if waiting:
        raise ValueError(f"{len(waiting)} cases are left open")
    return len(lines)


def main(*given: str) -> str:
    names = [pathlib.Path(__file__).with_name(name) for name in ("program.mps", "proof.txt")]
    program, proof, *others = (path.read_bytes() for path in (*names, *map(pathlib.Path, given)))
    digest, *digests = (hashlib.sha256(data).hexdigest() for data in (program, *others))
    first, named, claim, *lines = proof.decode("ascii").splitlines()
    low, high, rows, cost, files = read_program(program.decode("ascii"))
    if len(given) > 2:  # a price book in several files: their sums, line by line, summed again
        digests[1:] = [hashlib.sha256("\n".join(digests[1:]).encode()).hexdigest()]
    found = ["leastkit/certificate/1", f"program {digest}", *digests]
    if found != [first, named, files["site"], files["book"]][: len(found)]:
        raise ValueError("proof, program, site and price book do not belong together")
    if claim != "no solution":
        rows.append((cost, None, int(claim.removeprefix("no solution costs less than ")) - 1))
    return f"{claim}: {check(low, high, rows, lines)} lines, program {digest[:12]}"


if __name__ == "__main__":
    try:
        print("accepted:", main(*sys.argv[1:]))  # noqa: T201
    except (ValueError, KeyError, IndexError, TypeError, OSError) as error:
        print(f"refused: {type(error).__name__}: {error}")  # noqa: T201
        sys.exit(1)
