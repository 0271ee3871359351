"""The door: the one place that maps what happened to an exit code and writes to the streams."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from io import TextIOWrapper

from buildcheck import __version__

TYPE_CHECKING = False  # as type checkers take it: importing typing costs more than printing the version
if TYPE_CHECKING:
    from typing import TextIO


GC_THRESHOLD = 200_000
"""New objects, some builds' worth, after which garbage is searched for: imports and builds leave next to none."""


def program() -> int:
    """``main`` in a process of its own: garbage is rarely searched for, and not once more when the process ends."""
    gc.set_threshold(GC_THRESHOLD)
    try:
        return main()
    finally:
        gc.freeze()


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; 0 nothing blocks, 1 something does, 2 the input or the call is wrong, 130 interrupted."""
    given = list(sys.argv[1:] if argv is None else argv)
    _escape_unencodable()
    try:
        if given == ["--version"]:  # the parser would print the same, and its import takes half of the time
            print(f"buildcheck {__version__}", flush=True)
            return 0
        from buildcheck.cli.arguments import parser_for

        arguments = parser_for(given).parse_args(given)
        code: int = import_module(f"buildcheck.cli.commands.{arguments.command}").run(arguments)
        sys.stdout.flush()
    except BrokenPipeError:
        _redirect_to_devnull(sys.stdout)
        return 1
    except KeyboardInterrupt:
        return 130
    except Exception as error:  # a crash must never look like a verdict
        with suppress(OSError):
            _print_error(error)
        return 2
    finally:
        _flush_or_drop(sys.stderr)
    return code


def _escape_unencodable() -> None:
    """A character that the terminal's encoding lacks, or a file name that is not UTF-8, is shown spelled out.

    What was closed by the caller takes all and shows nothing.
    """
    sys.stdout, sys.stderr = (each or open(os.devnull, "w", encoding="utf-8") for each in (sys.stdout, sys.stderr))  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _redirect_to_devnull(stream: TextIO) -> None:
    """What is still unwritten cannot be: without this the interpreter would stumble over it once more at its end."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _flush_or_drop(stream: TextIO) -> None:
    """Drop what cannot be written, so that it does not change how the call ends."""
    try:
        stream.flush()
    except (OSError, ValueError):
        _redirect_to_devnull(stream)


def _print_error(error: Exception) -> None:
    from buildcheck.core.escape import one_line
    from buildcheck.core.usage_error import UsageError

    if isinstance(error, UsageError):
        print(f"buildcheck: {one_line(str(error))}", file=sys.stderr)
    elif isinstance(error, OSError):
        _redirect_to_devnull(sys.stdout)
        where = os.fsdecode(error.filename) if isinstance(error.filename, str | bytes) else "output"
        print(f"buildcheck: {one_line(where)}: {error.strerror or error}", file=sys.stderr)
    else:
        import traceback

        traceback.print_exc()
        print("buildcheck: internal error, no build was judged", file=sys.stderr)


if __name__ == "__main__":
    sys.exit(program())
