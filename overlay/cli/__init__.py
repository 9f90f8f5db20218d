"""The command line. Each command lives in a file of its own and decides nothing."""

from __future__ import annotations

import atexit
import gc
import os
import signal
import sys


def main() -> None:
    """Run the command line; the exit status says how it ended (`overlay/errors.py`)."""
    # Loading libraries makes many objects and no garbage: looking for it takes a tenth of a short command.
    gc.set_threshold(100_000)
    # What is left at the end goes with the process; sorting it first takes another tenth.
    atexit.register(gc.freeze)
    # A plug-in that happens to be installed must not change how a plan is read.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

    from overlay.cli.app import run
    from overlay.cli.messages import in_plain_words, show_error, show_what_can_be_shown
    from overlay.errors import EXIT_INTERRUPTED, OverlayError

    _stop_when_asked()
    show_what_can_be_shown()
    try:
        sys.exit(run(sys.argv[1:]))
    except (OverlayError, OSError) as error:
        told = error if isinstance(error, OverlayError) else in_plain_words(error)
        show_error(told)
        sys.exit(told.exit_status)
    except SystemExit as ended:
        # The command line's library has already turned Ctrl-C into this status.
        if ended.code == EXIT_INTERRUPTED:
            print("Stopped. Nothing is left half-done.", file=sys.stderr)
        raise


def _stop_when_asked() -> None:
    """What asks a program to end (SIGTERM), and a terminal that goes away (SIGHUP), stop it as Ctrl-C does."""
    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, signal.default_int_handler)
