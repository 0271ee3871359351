"""``buildcheck learn``: how well the shop's readings repeat and how much valves differ, from all builds together."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from buildcheck.app.run import RunPlan, display_path, plan_run
from buildcheck.app.shop_repeatability import Shop, pool, samples
from buildcheck.app.workers import rendered_builds
from buildcheck.cli.build_arguments import add_paths
from buildcheck.core.escape import one_line
from buildcheck.core.files import write_whole
from buildcheck.core.part_reference import is_part_path
from buildcheck.core.usage_error import UsageError
from buildcheck.output.shop_table import MARK, part, table
from buildcheck.output.text import problem_line

PART = "parts/repeatability.yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``learn``."""
    parser.epilog = "example: buildcheck learn engines --write"
    add_paths(parser)
    parser.add_argument(
        "--write",
        nargs="?",
        const=PART,
        metavar="FILE",
        help=f"write it into a shared part, by its path from the repository's root (default: {PART})",
    )


def run(args: argparse.Namespace) -> int:
    """Print the table and write the part; 0, or 2 where a build cannot be read: then nothing is written."""
    planned = plan_run(args.paths or [Path()])
    target = _target(planned, args.write) if args.write is not None else None
    found = [sample for _, sample in rendered_builds(planned, samples)]
    unreadable = [problem_line(problem, "") for problem in planned.problems]
    unreadable += [problem_line(problem, one.folder) for one in found for problem in one.problems]
    if unreadable:
        sys.stdout.write("".join(f"{line}\n" for line in unreadable))
        return 2
    shop = pool(found)
    sys.stdout.write("".join(f"{one_line(line)}\n" for line in table(shop).splitlines()))
    if target is not None:
        _write(target, args.write, shop)
    return 0


def _target(planned: RunPlan, name: str) -> Path:
    path = planned.context.repository.root / name
    if not is_part_path(name):
        raise UsageError(f"--write takes a path from the repository's root, such as {PART}, not {one_line(name)!r}")
    if path.is_symlink() or (path.exists() and not _is_ours(path)):
        raise UsageError(f"{one_line(display_path(path))} was not written by 'buildcheck learn': name another file")
    return path


def _is_ours(path: Path) -> bool:
    return path.is_file() and path.read_bytes().startswith(MARK.encode())


def _write(path: Path, name: str, shop: Shop) -> None:
    if not shop.readings and not shop.valves:
        print("nothing is known yet: no part is written", file=sys.stderr)
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, part(shop, name))
    print(
        f"{one_line(display_path(path))}: written; use it in marks.yaml: shop: {{uses: {one_line(name)}}}",
        file=sys.stderr,
    )
