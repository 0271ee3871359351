"""``buildcheck schemas``: exports the schemas for editors that work offline, or lists stale copies."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from buildcheck.app.run import display_path
from buildcheck.core.escape import one_line
from buildcheck.core.usage_error import UsageError
from buildcheck.repo.file_tree import DISK
from buildcheck.schema.editor_export import FOLDER, export, stale
from buildcheck.schema.fields import schema_by_id


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``schemas``."""
    parser.epilog = "example: buildcheck schemas ."
    parser.add_argument(
        "folder", nargs="?", type=Path, default=Path(), metavar="DIR", help="the folder in which .schemas is written"
    )
    parser.add_argument(
        "--print", metavar="ID", default="", help="print the schema of that id, such as buildcheck:results:1"
    )
    parser.add_argument(
        "--check", action="store_true", help="write nothing: list outdated copies at or under the folder"
    )


def run(args: argparse.Namespace) -> int:
    """Write, print or check; 1 if a copy is stale."""
    if args.print:
        return _print(args.print)
    if not args.folder.is_dir():
        raise UsageError(f"{args.folder} is not a folder")
    if not args.check:
        if (args.folder / FOLDER).is_symlink():
            raise UsageError(f"{args.folder / FOLDER} is a link: name the folder that it leads to")
        for path in export(args.folder):
            print(one_line(display_path(path)))
        print("name them in a file's first line: # yaml-language-server: $schema=…", file=sys.stderr)
        return 0
    old = [path for below, _ in DISK.walk(args.folder) for path in stale(args.folder / below)]
    for path in old:
        cure = f"run 'buildcheck schemas {display_path(path.parent.parent)}'"
        print(one_line(f"{display_path(path)}:1:1: error: is stale: another version wrote it; {cure} [schemas]"))
    return int(bool(old))


def _print(schema_id: str) -> int:
    try:
        print(json.dumps(schema_by_id(schema_id), ensure_ascii=False, indent=2))
    except KeyError as error:
        raise UsageError(f"there is no schema {one_line(schema_id)} in this version") from error
    return 0
