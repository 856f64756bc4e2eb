"""A proof that a program has no solution, which anybody can check without a solver.

All variables are bounded integers, so rows may be added up with any whole multipliers: what a
solution would have to make of the sum is known, and so is the most that the sum can be within
bounds. Where the second is less than the first, there is no solution. Where no single sum will do,
the bounds are split into cases until one does in each. The stand-alone checker knows nothing else.

References
----------
.. [1] J. Farkas, Theorie der einfachen Ungleichungen, J. reine angew. Math. 124, 1902: multipliers
   that refute a system of inequalities.
.. [2] A. H. Land, A. G. Doig, An automatic method of solving discrete programming problems,
   Econometrica 28, 1960: branching and bounding.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from optimizer.errors import Defect
from optimizer.explaining import checker
from optimizer.explaining.certificate_rows import with_limit
from optimizer.explaining.certificate_tree import Met, Search
from optimizer.explaining.certificate_trim import Trimming, written
from optimizer.instance import Instance
from optimizer.model import Program, build
from optimizer.solving.export import listing, mps
from optimizer.solving.layout import lay_out

MOST_CASES = 20_000

_README = """\
{claim}

program.mps    what is asked, as an integer program: free-format MPS, read by any solver
program.txt    the same to be read: every row with the requirements and facts it stands for
proof.txt      why it has {what}
check.py       checks the proof; needs Python 3.11 or newer and nothing else

    python3 check.py
    python3 check.py SITE BOOK

The second line also compares the site file and the price book (all files of it, in order) with
those that the program was made from. Where a value was changed to ask (another budget or another
step), that is the site.json in this folder or the one above, not the site file that was changed.
One line is printed; it begins with "accepted" (and the exit status is 0) or "refused" (and it is
1).
Prices in program and proof are net, in hundredths, before tax.

How to read it: program.mps asks for whole numbers within bounds, and rows "low <= sum <= high".
Variables and rows count from 0, as in program.txt.{limit}
"if V <= N" splits the case in hand in two: first, variable V is at most N; then, it is more.
(">=": first at least N, then less.) "by R:M R:M ..." adds up rows R times M, of the low side where
M is positive, of the high side where it is negative. A solution brings the sum at least to that of
the sides; the most it can be within the bounds of the case is less: the case is closed, and the
next one is in hand. "so R:M R:M ..." adds up in the same way and leaves the case open: the room
between the two limits by how much each variable can fall short of its better end, and the case
goes on with these bounds. When no case is left, there is no solution.

What it proves, and what not: this integer program has
{what}.
It does not prove that the price book is true, nor that the program says what the site file says:
for that, program.txt names each row, and the rules are in RULES.md of leastkit. What cannot serve
at all (a lens too short, a cable too long, volts too low) has no variable; a row that nothing can
meet then stands for the place. The program allows a little more than the rules do (boxes, supplies
and recorders are counted together), and leaves out only what something else in the book replaces
at no more cost: what it cannot do, no kit can. Local codes and licensed practice decide what may
be built.
"""


@dataclass(frozen=True)
class Certificate:
    """A proof that a program has no solution, or none below a price.

    Attributes
    ----------
    lines : tuple of str
        The proof in the checker's form.
    below : int or None
        No solution costs less than this; None: there is none at all. [hundredth, net]
    """

    lines: tuple[str, ...]
    below: int | None = None

    @property
    def claim(self) -> str:
        """What is proven, as the checker says it."""
        price = "" if self.below is None else f" costs less than {self.below}"
        return f"no solution{price}"

    @property
    def sums(self) -> int:
        """Sums of rows in it, each of which closes a case or tightens its bounds."""
        return sum(not line.startswith("if ") for line in self.lines)

    def text(self, program_text: str) -> str:
        """The proof file for a program in MPS."""
        digest = hashlib.sha256(program_text.encode("ascii")).hexdigest()
        head = ("leastkit/certificate/1", f"program {digest}", self.claim)
        return "\n".join([*head, *self.lines, ""])


def certify(program: Program, seconds: float, below: int | None = None) -> Certificate | None:
    """Look for a proof that a program has no solution.

    Parameters
    ----------
    program : Program
        As written by :func:`optimizer.model.build`.
    seconds : float
        Time for the search. [s]
    below : int, optional
        Prove that no solution costs less than this, rather than that there is none.
        [hundredth, net]

    Returns
    -------
    Certificate or None
        None if there is a solution, or if no proof was found in the time.

    Raises
    ------
    Defect
        If the checker refuses what was found.
    """
    try:
        return _searched(program, seconds, below)
    except Met:
        return None


def certify_site(
    instance: Instance, seconds: float, below: int | None = None
) -> tuple[Program, Certificate] | None:
    """Look for a proof that a site cannot be met, with the program that it is about.

    The pooled program comes first. A solution of it that cannot be laid out in boxes, supplies or
    recorders is no kit; what could not be laid out is then spelt out, and the search goes on.

    Parameters
    ----------
    seconds, below
        As for :func:`certify`.

    Returns
    -------
    tuple of Program and Certificate, or None
        None if there is a kit, or if no proof was found in the time.

    Raises
    ------
    Defect
        As for :func:`certify`.
    """
    end = time.monotonic() + seconds
    spelt: frozenset[str] = frozenset()
    while time.monotonic() < end:
        draft = build(instance, spelt)
        try:
            found = _searched(draft.program, end - time.monotonic(), below)
        except Met as met:
            failed = frozenset(lay_out(draft, met.values).failed)
            if failed <= spelt:
                return None
            spelt |= failed
        else:
            return None if found is None else (draft.program, found)
    return None


def _searched(program: Program, seconds: float, below: int | None) -> Certificate | None:
    """A checked certificate; raises Met where there is a solution."""
    limited, cap = with_limit(program, below)
    root = Search(limited, cap, MOST_CASES).run(seconds)
    if root is None:
        return None
    trimming = Trimming(limited.rows, limited.lower, limited.upper)
    found = Certificate(tuple(written(trimming.trim(root))), below)
    _check(program, found)
    return found


def _check(program: Program, found: Certificate) -> None:
    """Have the checker read what will be written, before anybody relies on it."""
    low, high, rows, cost, _ = checker.read_program(mps(program, {}))
    if found.below is not None:
        rows.append((cost, None, found.below - 1))
    try:
        checker.check(low, high, rows, list(found.lines))
    except (ValueError, IndexError) as error:
        raise Defect(f"the checker refuses a certificate: {error}") from error


def write_folder(
    folder: Path,
    program: Program,
    certificate: Certificate,
    site_sha256: str,
    book_sha256: str,
    claim: str,
) -> None:
    """Write program, proof and checker into a folder of their own, whole or not at all.

    Parameters
    ----------
    folder : Path
        Made anew; its parent must exist.
    program : Program
        The one that was certified.
    site_sha256, book_sha256 : str
        Checksums of what the program was made from.
    claim : str
        What the certificate means for the site, in a sentence.

    Raises
    ------
    FileExistsError
        If the folder exists and is not empty.
    OSError
        If it cannot be written.
    """
    if folder.exists() and any(folder.iterdir()):
        raise FileExistsError(f"{folder} exists and is not empty")
    text = mps(program, {"site": site_sha256, "book": book_sha256})
    price = "" if certificate.below is None else f" that costs less than {certificate.below}"
    limit = (
        ""
        if certificate.below is None
        else f"\nRow {len(program.rows)} says: cost at most {certificate.below - 1}."
    )
    part = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", dir=folder.parent))
    try:
        (part / "program.mps").write_text(text, encoding="ascii")
        (part / "program.txt").write_text(listing(program), encoding="utf-8")
        (part / "proof.txt").write_text(certificate.text(text), encoding="ascii")
        words = _README.format(claim=claim, what=f"no solution{price}", limit=limit)
        (part / "README.txt").write_text(words, encoding="utf-8")
        shutil.copyfile(checker.__file__, part / "check.py")
        part.chmod(0o755)
        os.replace(part, folder)
    except BaseException:
        shutil.rmtree(part)
        raise
