"""``buildcheck schemas``: exports the schemas for editors that work offline, or tells stale copies."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from buildcheck.app.run import shown
from buildcheck.core.escape import one_line
from buildcheck.core.usage_error import UsageError
from buildcheck.repo.file_tree import DISK
from buildcheck.schema.editor_export import FOLDER, export, stale


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``schemas``."""
    parser.epilog = "example: buildcheck schemas ."
    parser.add_argument(
        "folder", nargs="?", type=Path, default=Path(), metavar="DIR", help="the folder in which .schemas is written"
    )
    parser.add_argument(
        "--check", action="store_true", help="write nothing: list outdated copies at or under the folder"
    )


def run(options: argparse.Namespace) -> int:
    """Write, or check; 1 where a copy is stale."""
    if not options.folder.is_dir():
        raise UsageError(f"{options.folder} is not a folder")
    if not options.check:
        if (options.folder / FOLDER).is_symlink():
            raise UsageError(f"{options.folder / FOLDER} is a link: name the folder that it leads to")
        for path in export(options.folder):
            print(one_line(shown(path)))
        print("name them in a file's first line: # yaml-language-server: $schema=…", file=sys.stderr)
        return 0
    old = [path for below, _ in DISK.walk(options.folder) for path in stale(options.folder / below)]
    for path in old:
        cure = f"run 'buildcheck schemas {shown(path.parent.parent)}'"
        print(one_line(f"{shown(path)}:1:1: error: is stale: another version wrote it; {cure} [schemas]"))
    return int(bool(old))
