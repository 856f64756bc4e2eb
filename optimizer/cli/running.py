"""How the command runs: exit statuses, what becomes of errors, progress on standard error."""

from __future__ import annotations

import os
import sys
import threading
import time
from types import TracebackType
from typing import Any

import click

OK = 0
FAULT = 1
REFUSED = 2
UNMEETABLE = 3
UNDECIDED = 4
STOPPED = 130
PIPE_CLOSED = 141
"""What a shell reports for a program whose reader went away."""

TRACE = "LEASTKIT_TRACE"


class Shell(click.Group):
    """A group of commands that turns every error into one message and an exit status."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command and flush what it printed, so that a closed pipe shows up here."""
        try:
            value = super().invoke(ctx)
            sys.stdout.flush()
        except KeyboardInterrupt:
            click.echo("stopped", err=True)
            ctx.exit(STOPPED)
        except BrokenPipeError:
            _silence_stdout()
            ctx.exit(PIPE_CLOSED)
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except Exception as error:
            ctx.exit(_report(error))
        return value


def _silence_stdout() -> None:
    """Send what is still in the buffer nowhere; the interpreter would complain about it."""
    try:
        number = sys.stdout.fileno()
    except (OSError, ValueError):
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, number)
    os.close(nowhere)


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
    """A console on standard output that leaves a closed pipe to :class:`Shell`."""
    from rich.console import Console

    class Terminal(Console):
        def on_broken_pipe(self) -> None:
            raise BrokenPipeError

    return Terminal(highlight=False, markup=False, emoji=False)
