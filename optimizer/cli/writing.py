"""Files written whole or not at all."""

from __future__ import annotations

import json
import os
import sys
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any

from optimizer.errors import InputError, Trouble
from optimizer.writing import fill

STDOUT = "-"


class Output:
    """A file that appears only once it is complete, or standard output.

    Made before the work starts, so that a folder that cannot be written is known at once.

    Parameters
    ----------
    path : str or None
        Where to write; "-" for standard output; None for nowhere.
    fresh : bool
        True to refuse to replace a file.
    keep : paths or None
        Files that the question is read from or answered in, and folders of such files; they are
        never replaced, whatever name or link leads to them.

    Raises
    ------
    InputError
        If the file cannot be written there.
    """

    def __init__(
        self, path: str | None, fresh: bool = False, keep: Iterable[str | None] = ()
    ) -> None:
        self.to_stdout = path == STDOUT
        self._named = path or ""
        self._fresh = fresh
        self._keep = [Path(name) for name in keep if name is not None]
        self._target: Path | None = None
        self._part: Path | None = None
        if path is not None and not self.to_stdout:
            self._target = Path(os.path.realpath(path))

    def __enter__(self) -> Output:
        if self._target is None:
            return self
        try:
            self._check_apart(self._target)
            self._open(self._target)
        except OSError as error:
            raise self._refused(error) from None
        return self

    def _open(self, target: Path) -> None:
        if self._fresh and os.path.lexists(self._named):
            raise FileExistsError(17, "there is a file of that name already")
        if target.is_dir():
            raise IsADirectoryError(21, "this is a folder")
        if not _replaceable(target):
            return
        number, part = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:40]}.")
        os.close(number)
        self._part = Path(part)

    def _check_apart(self, target: Path) -> None:
        """Refuse to write over a file that is in use."""
        if not _replaceable(target):
            return
        for name in self._keep:
            sources = name.iterdir() if name.is_dir() else [name]
            if any(_same(one, target) for one in sources):
                raise InputError(
                    Trouble(
                        "the file is already in use for this question and would be overwritten",
                        file=self._named,
                        accepted="a name of its own",
                        hint="choose another name",
                    )
                )

    def write(self, content: str | bytes) -> None:
        """Write everything at once; a file then takes the place of the one before."""
        raw = content.encode("utf-8") if isinstance(content, str) else content
        if self.to_stdout:
            sys.stdout.flush()
            sys.stdout.buffer.write(raw)
            sys.stdout.buffer.flush()
        elif self._target is not None:
            try:
                self._put(self._target, raw)
            except OSError as error:
                raise self._refused(error) from None

    def _put(self, target: Path, raw: bytes) -> None:
        if self._part is None:
            # A device or a pipe: there is nothing to replace.
            with target.open("wb") as stream:
                stream.write(raw)
            return
        fill(self._part, raw, target)
        if self._fresh:
            _link(self._part, target)
        else:
            self._part.replace(target)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._part is not None:
            self._part.unlink(missing_ok=True)

    def _refused(self, error: OSError) -> InputError:
        return InputError(
            Trouble(
                f"the file cannot be written: {error.strerror or error}",
                file=self._named,
                accepted="a new file name in a folder that can be written"
                if self._fresh
                else "a file name in a folder that can be written",
                hint="choose another name"
                if self._fresh
                else "check the folder and its permissions",
            )
        )


@contextmanager
def outputs(keep: Iterable[str | None], *paths: str | None) -> Iterator[list[Output]]:
    """Several outputs of one question: none replaces a file that is read, nor another of them.

    Raises
    ------
    InputError
        If one of them cannot be written.
    """
    used = list(keep)
    with ExitStack() as stack:
        made = []
        for path in paths:
            made.append(stack.enter_context(Output(path, keep=used)))
            used.append(None if path == STDOUT else path)
        yield made


def json_text(data: Any) -> str:
    """Plain data as it is written for other programs."""
    return json.dumps(data, indent=1, ensure_ascii=False) + "\n"


def _replaceable(target: Path) -> bool:
    """Whether the target is a plain file or nothing yet; devices and pipes are written into."""
    return not target.exists() or target.is_file()


def _same(one: Path, target: Path) -> bool:
    """Whether two names stand for one file, there already or still to be written."""
    if one.exists() and target.exists():
        return one.samefile(target)
    return os.path.realpath(one) == str(target)


def _link(part: Path, target: Path) -> None:
    """Give the file its name unless something has that name by now."""
    try:
        os.link(part, target)
    except OSError:
        if os.path.lexists(target):
            raise
        # This file system has no hard links: the last moment before replacing is the best there is.
        part.replace(target)
