"""How the command runs: exit statuses, what becomes of errors, progress on standard error."""

from __future__ import annotations

import errno
import io
import os
import signal
import sys
import threading
import time
from types import FrameType, TracebackType
from typing import Any, NoReturn

import click

OK = 0
FAULT = 1
REFUSED = 2
UNMEETABLE = 3
UNDECIDED = 4
STOPPED = 130
ENDED = 143
PIPE_CLOSED = 141
"""What a shell reports for a program whose reader went away."""

TRACE = "LEASTKIT_TRACE"


class StreamError(Exception):
    """Standard output or standard error takes no more.

    Parameters
    ----------
    number : int
        1 or 2.
    cause : OSError
        What the system said.
    """

    def __init__(self, number: int, cause: OSError) -> None:
        super().__init__(cause.strerror or str(cause))
        self.number = number
        self.reader_gone = cause.errno == errno.EPIPE


class Ended(BaseException):
    """The system asks the program to end; files half written are still to be put away."""


class Shell(click.Group):
    """A group of commands that turns every error into one message and an exit status."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command."""
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            click.echo("stopped", err=True)
            ctx.exit(STOPPED)
        except (click.ClickException, click.exceptions.Exit, click.Abort, StreamError):
            raise
        except Exception as error:
            ctx.exit(_report(error))


class _Stream(io.FileIO):
    """A standard stream whose failures cannot be taken for those of another file."""

    def write(self, data: Any) -> int:
        try:
            return super().write(data)
        except OSError as error:
            raise StreamError(self.fileno(), error) from None


def run(command: click.Group, name: str) -> NoReturn:
    """Run the command line with its streams prepared, and end with its exit status.

    Parameters
    ----------
    command : click.Group
        What is run, with the arguments the program was started with.
    name : str
        What it is called in messages.
    """
    closed = _closed_streams()
    sys.stderr = _stream(2, sys.stderr)
    if 1 in closed:
        click.echo(_no_output("it is closed"), err=True)
        sys.exit(REFUSED)
    sys.stdout = _stream(1, sys.stdout)
    signal.signal(signal.SIGTERM, _end)
    try:
        status = _status(command, name)
        sys.stdout.flush()
        sys.stderr.flush()
    except StreamError as error:
        # What is still in the buffer goes nowhere; the interpreter would complain about it.
        _to_nowhere(error.number)
        status = PIPE_CLOSED if error.reader_gone else REFUSED
        if not error.reader_gone and error.number == 1:
            click.echo(_no_output(str(error)), err=True)
    sys.exit(status)


def _status(command: click.Group, name: str) -> int | str | None:
    try:
        command(prog_name=name)
    except SystemExit as end:
        return end.code
    except Ended:
        return ENDED
    return OK


def _closed_streams() -> set[int]:
    """Standard streams that are closed, opened to nowhere.

    Otherwise the next file that is opened gets such a number, and whatever prints there writes
    into that file.
    """
    closed = set()
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            closed.add(number)
            _to_nowhere(number)
    return closed


def _to_nowhere(number: int) -> None:
    nowhere = os.open(os.devnull, os.O_RDWR)
    if nowhere != number:
        os.dup2(nowhere, number)
        os.close(nowhere)


def _stream(number: int, now: io.TextIOBase | Any) -> io.TextIOWrapper:
    """A standard stream that raises :class:`StreamError`.

    A terminal that cannot show a character gets an escape in its place, not an error.
    """
    return io.TextIOWrapper(
        io.BufferedWriter(_Stream(number, "w", closefd=False)),
        encoding=None if now is None else now.encoding,
        errors="backslashreplace",
        line_buffering=number == 2 or os.isatty(number),
    )


def _no_output(why: str) -> str:
    return (
        f"standard output cannot be written: {why}\n"
        "  hint: make room or send it elsewhere; --json FILE writes the result to a file"
    )


def _end(_number: int, _frame: FrameType | None) -> None:
    raise Ended


def _report(error: Exception) -> int:
    """Say what went wrong; tell a refused input from a fault of this program."""
    from optimizer.errors import InputError, clean

    if isinstance(error, InputError):
        click.echo(str(error), err=True)
        return REFUSED
    if os.environ.get(TRACE) == "1":
        import traceback

        click.echo("".join(traceback.format_exception(error)), err=True, nl=False)
    what = clean(str(error), 500)
    click.echo(
        f"leastkit: {type(error).__name__}{': ' if what else ''}{what}\n"
        "This is a fault of the program, not of your files, and nothing it found can be used. "
        f"Please report it with the site file and the price book; {TRACE}=1 shows where it arose.",
        err=True,
    )
    return FAULT


class Progress:
    """A moving line on the terminal for work that takes longer than a moment.

    Parameters
    ----------
    quiet : bool
        True for no line and no note of the time taken.
    doing : str
        What is being done, until told otherwise.
    """

    PATIENCE_S = 1.0

    def __init__(self, quiet: bool, doing: str) -> None:
        self._quiet = quiet
        self._doing = doing
        self._start = time.monotonic()
        self._took = 0.0
        self._lock = threading.Lock()
        self._status: Any = None
        self._timer: threading.Timer | None = None

    def __enter__(self) -> Progress:
        if not self._quiet and sys.stderr.isatty():
            self._timer = threading.Timer(self.PATIENCE_S, self._show)
            self._timer.daemon = True
            self._timer.start()
        return self

    def __call__(self, doing: str) -> None:
        """Say what is being done now."""
        with self._lock:
            self._doing = doing
            if self._status is not None:
                self._status.update(self._words())

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._timer is not None:
            self._timer.cancel()
        with self._lock:
            self._timer = None
            if self._status is not None:
                self._status.stop()
                self._status = None
        self._took = time.monotonic() - self._start

    def note(self, took: float | None = None) -> None:
        """Say how long it took, after everything else, so that the report stands first.

        Parameters
        ----------
        took : float, optional
            If this was a part of it only, the whole. [s]
        """
        if not self._quiet:
            click.echo(f"took {self._took if took is None else took:.1f} s", err=True)

    def _words(self) -> Any:
        from rich.text import Text

        return Text(self._doing)

    def _show(self) -> None:
        from rich.console import Console
        from rich.status import Status

        with self._lock:
            if self._timer is not None:
                self._status = Status(self._words(), console=Console(stderr=True))
                self._status.start()


def terminal() -> Any:
    """A console on standard output."""
    from rich.console import Console

    return Console(highlight=False, markup=False, emoji=False)
