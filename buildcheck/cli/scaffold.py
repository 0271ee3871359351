"""Makes a new build folder or a whole repository: commented files to fill in, and the schemas for editors."""

from __future__ import annotations

import os
from pathlib import Path
from types import MappingProxyType

from buildcheck.cli.new_files import OverwriteError, write_new_files
from buildcheck.core.files import real
from buildcheck.repo.file_tree import DISK, FILES, root_of
from buildcheck.schema.editor_export import FOLDER, editor_schemas

__all__ = ["OverwriteError", "start_build", "start_repository"]

FIRST_BUILD = "engines/first"
SKELETON = MappingProxyType(
    {
        ".editorconfig": "editorconfig",
        ".gitattributes": "gitattributes",
        ".github/CODEOWNERS": "CODEOWNERS",
        ".github/workflows/buildcheck.yaml": "workflow.yaml",
        ".pre-commit-config.yaml": "pre-commit-config.yaml",
        "README.md": "README.md",
        "buildcheck.yaml": "buildcheck.yaml",
        "parts/springs/example.yaml": "example-spring.yaml",
        "shop-rules/valve-lift-cap.yaml": "valve-lift-cap.yaml",
    }
)
"""Path in a new repository -> file of the package's skeleton folder."""

_HERE = Path(__file__).parent
_MODELINE = b"$schema=./.schemas/"


def start_build(folder: Path) -> list[Path]:
    """Make a build folder, or fill an existing one, and return the files written, in order.

    Editors find the schemas in the repository's own copy where it has one, else in a copy beside the files.
    Raises InTheWayError where a file of that name exists, OSError where the disk refuses.
    """
    shared = root_of(folder, DISK) / FOLDER
    if shared.is_dir() and real(folder) != shared.parent:
        return write_new_files(folder, _build(Path(os.path.relpath(shared, real(folder))).as_posix()))
    return write_new_files(folder, dict(sorted({**_build(f"./{FOLDER}"), **_schemas(FILES)}.items())))


def start_repository(folder: Path) -> list[Path]:
    """Make a repository with settings, hooks, workflow, shelf of parts, editor settings and one build."""
    files = {target: (_HERE / "skeleton" / name).read_bytes() for target, name in SKELETON.items()}
    build = {f"{FIRST_BUILD}/{name}": data for name, data in _build(f"../../{FOLDER}").items()}
    return write_new_files(folder, dict(sorted({**files, **build, **_schemas()}.items())))


def _build(schemas: str) -> dict[str, bytes]:
    """The files of a build, with the relative path at which an editor finds the schemas."""
    modeline = f"$schema={schemas}/".encode()
    templates = sorted((_HERE / "starter").glob("*.yaml"))
    return {path.name: path.read_bytes().replace(_MODELINE, modeline, 1) for path in templates}


def _schemas(names: tuple[str, ...] | None = None) -> dict[str, bytes]:
    return {f"{FOLDER}/{file}": data for file, data in editor_schemas(names).items()}
