"""``buildcheck check``: every build at or under the paths, judged."""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

from buildcheck.app.run import (
    NOTHING_STAGED,
    SINCE_HELP,
    STAGED_HELP,
    RunPlan,
    display_path,
    excluded_message,
    plan_run,
)
from buildcheck.app.workers import Cache, rendered_builds
from buildcheck.build.build_folder import STAGES
from buildcheck.cli.build_arguments import add_paths
from buildcheck.cli.progress import Progress
from buildcheck.core.escape import one_line
from buildcheck.core.usage_error import UsageError
from buildcheck.output.colour import WHEN, coloured, use_colour
from buildcheck.schema.editor_export import stale

FORMATS = {
    "github": "annotations on a pull request's lines",
    "gitlab": "code quality report",
    "json": "all results, for scripts",
    "junit": "one test case for each rule and subject",
    "sarif": "failures, for code scanning",
    "summary": "Markdown for a job's summary",
    "text": "one line for each cause; +n rules in brackets counts further rules of that cause",
}
"""Format -> what it is. Each is a module of buildcheck.output with ``render_build`` and ``render_document``."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``check``."""
    parser.epilog = "example: buildcheck check engines/dunlin --stage ordering"
    rendered = "; ".join(f"{name}: {what}" for name, what in FORMATS.items())
    add_paths(parser)
    parser.add_argument("--format", choices=FORMATS, default="text", help=f"{rendered} (default: text)")
    parser.add_argument("--findings", action="store_true", help="in json, leave out what passes or does not apply")
    parser.add_argument("--color", choices=WHEN, default="auto", help="colour the levels in text (default: auto)")
    parser.add_argument("--stage", choices=STAGES, help="judge as if at this stage")
    parser.add_argument("--strict", action="store_true", help="let warnings block as well")
    parser.add_argument(
        "--cache-dir",
        type=Path,
        metavar="FOLDER",
        help="cache results in FOLDER and reuse them while no input has changed",
    )
    parser.add_argument("--tracked", action="store_true", help="count only files that git tracks; others are errors")
    parser.add_argument("--touched", action="store_true", help=STAGED_HELP)
    parser.add_argument("--since", metavar="BASE", default="", help=SINCE_HELP)


def run(args: argparse.Namespace) -> int:
    """Print the results; 0, 1 or 2."""
    paths = args.paths or [Path()]
    if args.since and args.touched:
        raise UsageError("--since and --touched exclude each other")
    if args.findings and args.format != "json":
        raise UsageError("--findings is for --format json")
    planned = plan_run(paths, args.stage, args.strict, args.tracked, args.touched, args.since)
    writer = import_module(f"buildcheck.output.{args.format}")
    colour = args.format == "text" and use_colour(args.color, sys.stdout)
    _set_encoding(args.format)
    cached_as = f"{args.format} --findings" if args.findings else args.format
    cache = _open_cache(args.cache_dir, planned, cached_as) if args.cache_dir is not None and planned.is_disk else None
    render_build = writer.render_findings if args.findings else writer.render_build
    codes = [2 if planned.problems else 0]
    progress = Progress(len(planned.folders), sys.stderr)

    def rendered() -> Iterator[Any]:
        for code, part in rendered_builds(planned, render_build, cache):
            codes.append(code)
            progress.step()
            yield part

    for text in writer.render_document(planned.context, planned.problems, rendered()):
        progress.clear()
        _write(coloured(text) if colour else text)
    progress.clear()
    _print_unchecked(planned, args.since)
    _report_stale_schemas(planned)
    return max(codes)


def _write(text: str | bytes) -> None:
    """Bytes, which are UTF-8, go past the encoding of the stream, if there is anything behind it."""
    if isinstance(text, str):
        sys.stdout.write(text)
    elif isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.buffer.write(text)
    else:
        sys.stdout.write(text.decode())


def _print_unchecked(planned: RunPlan, since: str) -> None:
    """Print which builds are not checked, and why."""
    if planned.is_idle:
        changed = f"the changes since {one_line(since)} affect no build: no build is checked"
        print(f"buildcheck: {changed if since else NOTHING_STAGED}", file=sys.stderr)
    if planned.left_out:
        print(f"buildcheck: {one_line(excluded_message(planned.left_out))}: not checked", file=sys.stderr)
    for link in planned.links:
        print(
            f"buildcheck: {one_line(display_path(link))} is a link to a build, and not checked: name it",
            file=sys.stderr,
        )


def _open_cache(folder: Path, planned: RunPlan, writer: str) -> Cache:
    from buildcheck.output.result_cache import ResultCache

    return ResultCache(folder, planned, writer)


def _report_stale_schemas(planned: RunPlan) -> None:
    """Editors would point out what is no fault, or pass over one."""
    for folder in dict.fromkeys([planned.context.repository.root, *planned.folders]):
        if any(stale(folder)):
            where = one_line(display_path(folder))
            print(f"buildcheck: {where}/.schemas is stale: run 'buildcheck schemas {where}'", file=sys.stderr)


def _set_encoding(writer: str) -> None:
    """Machines get UTF-8 and LF wherever this runs; a terminal gets what it can show, the rest escaped."""
    if isinstance(sys.stdout, io.TextIOWrapper) and writer == "text":
        sys.stdout.reconfigure(errors="backslashreplace")
    elif isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(encoding="utf-8", newline="\n")
