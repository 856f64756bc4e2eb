"""The folder in which the answers of a portfolio are kept, one file for each.

``answers/base/north.json`` is the answer to the site called north; where nothing was proven in the
time given, ``answers/base/north@60s.json`` says how long was tried. Which inputs an answer belongs
to stands in its own provenance. Every file is written whole or not at all, one run at a time.
"""

from __future__ import annotations

import fcntl
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from types import TracebackType
from typing import IO

from pydantic import ValidationError

from optimizer import __version__
from optimizer.audit import audit_design
from optimizer.errors import InputError, Trouble
from optimizer.pricebook import LoadedBook
from optimizer.scenarios.crew import Task
from optimizer.site import LoadedSite
from optimizer.solving.answer import Answer
from optimizer.writing import PART, put

LOCK = ".leastkit-many"
"""Its presence says whose folder it is; whoever works in the folder holds it locked."""

PROVEN = ("optimal", "unmeetable")
_OPEN = re.compile(r"@(?P<seconds>[0-9.e+]+)s")


class Folder:
    """A folder of answers, for one run at a time.

    Parameters
    ----------
    path : path
        New, empty, or used for a portfolio before.
    note : callable
        Told of kept answers that cannot be used.

    Raises
    ------
    InputError
        On entering, if the folder holds something else, cannot be written, or is in use.
    """

    def __init__(self, path: str | Path, note: Callable[[str], None]) -> None:
        self.path = Path(path)
        self._note = note
        self._lock: IO[bytes] | None = None

    def __enter__(self) -> Folder:
        try:
            self.path.mkdir(parents=True, exist_ok=True)
            if not (self.path / LOCK).exists() and any(self.path.iterdir()):
                raise InputError(self._trouble("the folder holds other files", "name a new folder"))
            self._lock = (self.path / LOCK).open("ab")
            self._locked(self._lock)
            for part in self.path.rglob(f"{PART}*"):
                part.unlink()  # left by a run that was killed while it wrote
        except OSError as error:
            self._close()
            raise InputError(self._unwritable(self.path, error)) from None
        return self

    def _locked(self, lock: IO[bytes]) -> None:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            self._close()
            raise InputError(
                self._trouble(
                    "another run is at work in this folder",
                    "wait for it to end, or name another folder",
                )
            ) from None

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._close()

    def _close(self) -> None:
        if self._lock is not None:
            self._lock.close()
            self._lock = None

    def kept(self, place: str, task: Task) -> Answer | None:
        """The answer to the same site, price book and version, if it can be used as it is.

        One that is not proven is used where at least as much time was spent on it. A design is
        audited again, because a file may have been changed since.
        """
        for path in (self.path / f"{place}.json", *self._open(place, task.seconds)):
            answer = self._read(path)
            if answer is None or not _same(answer, task):
                continue
            if path.stem == Path(place).name and answer.status not in PROVEN:
                self._note(f"{path} is not proven, as its name says; solved again")
            elif answer.met and _faulty(answer, task.asked, task.book):
                self._note(f"{path} does not pass the audit any more; solved again")
            else:
                return answer
        return None

    def keep(self, place: str, answer: Answer, seconds: float) -> None:
        """Write an answer, and remove what was kept in its place.

        Raises
        ------
        InputError
            If it cannot be written; what was kept before stays.
        """
        target = self._target(place, answer, seconds)
        self.put(target, answer.as_json())
        for path in (self.path / f"{place}.json", *self._open(place)):
            if path != target:
                path.unlink(missing_ok=True)

    def holds(self, place: str, answer: Answer, seconds: float) -> bool:
        """Whether an answer stands in one of the files where it would be looked for."""
        target = self._target(place, answer, seconds)
        return any(self._read(path) == answer for path in (target, *self._open(place, seconds)))

    def where(self, place: str, answer: Answer, seconds: float) -> str:
        """The file that holds an answer, named from the folder."""
        if answer.status in PROVEN:
            return f"{place}.json"
        files = list(self._open(place, seconds))
        return files[0].relative_to(self.path).as_posix()

    def put(self, path: Path, text: str) -> None:
        """Write a file of the folder whole or not at all.

        Raises
        ------
        InputError
            If it cannot be written.
        """
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            put(path, text.encode("utf-8"))
        except OSError as error:
            raise InputError(self._unwritable(path, error)) from None

    def _target(self, place: str, answer: Answer, seconds: float) -> Path:
        whole = self.path / f"{place}.json"
        tried = whole.with_name(f"{whole.stem}@{seconds:g}s.json")
        return whole if answer.status in PROVEN else tried

    def _open(self, place: str, least: float = 0.0) -> Iterator[Path]:
        """Files of answers that are not proven, on which at least so long was spent."""
        target = self.path / place
        for path in sorted(target.parent.glob("*.json")):
            name, sign, _ = path.stem.rpartition("@")
            found = _OPEN.fullmatch(path.stem.removeprefix(name))
            if sign and name == target.name and found and float(found["seconds"]) >= least:
                yield path

    def _read(self, path: Path) -> Answer | None:
        try:
            return Answer.model_validate_json(path.read_bytes())
        except FileNotFoundError:
            return None
        except (OSError, ValidationError):
            self._note(f"{path} cannot be read back; solved again")
            return None

    def _trouble(self, what: str, hint: str) -> Trouble:
        accepted = "a folder that is new, empty, or was used for this before"
        return Trouble(what, file=str(self.path), accepted=accepted, hint=hint)

    def _unwritable(self, path: Path, error: OSError) -> Trouble:
        return Trouble(
            f"the file or folder cannot be written: {error.strerror or error}",
            file=str(path),
            accepted="a folder that can be written, on a disk with room",
            hint="make room or name another folder; answers that were kept stay, and the same "
            "command goes on from there",
        )


def _same(answer: Answer, task: Task) -> bool:
    """Whether an answer is to this site, from this price book, by this version."""
    asked = (task.asked.source.sha256, task.book.sha256, __version__)
    made = answer.provenance
    return (made.site_sha256, made.book_sha256, made.version) == asked


def _faulty(answer: Answer, asked: LoadedSite, book: LoadedBook) -> bool:
    return bool(audit_design(asked.site, book.items, book.book.offers, answer.design()))


__all__ = ["LOCK", "PROVEN", "Folder"]
