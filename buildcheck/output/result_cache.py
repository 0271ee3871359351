"""What a format made of builds at an earlier run, taken again where nothing that it rests on has changed.

An entry rests on the program, the rules and limits, the terms, and on every file of its build and its parts, all by
digest; it is sealed, so that one half written or touched counts for nothing. A build with a problem is never kept.
"""

from __future__ import annotations

import contextlib
import json
import os
import platform
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator, Sequence
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path
from typing import Any

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import RunPlan, display_path
from buildcheck.app.workers import Snapshot
from buildcheck.core.files import read_regular
from buildcheck.core.package_data import schemas_dir
from buildcheck.core.problem import Place
from buildcheck.core.usage_error import UsageError
from buildcheck.output.annotation import Annotation
from buildcheck.record import field_values, replace
from buildcheck.repo.file_tree import BUILD_FILE, root_of
from buildcheck.yamlio.yaml_text import LIMIT_BYTES

_LIBRARIES = ("pint", "ruamel.yaml")
_MAX_ENTRY_BYTES = 64_000_000
_MTIME_SLACK_NS = 20_000_000
"""ns by which a file's time may lag behind ours: that of the disk ticks some hundred times a second."""


class ResultCache:
    """Entries in a folder, one for each build and format. Raises UsageError where the folder cannot be made."""

    def __init__(self, folder: Path, plan: RunPlan, output_format: str) -> None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise UsageError(f"{folder}: results cannot be kept there ({error.strerror})") from error
        self._folder = folder
        self._plan = plan
        self._format = output_format
        self._run_key = _digest(_run_inputs(plan, output_format)) if plan.folders else ""

    def load(self, build: Path) -> tuple[int, Any] | None:
        """The exit code and part of a build that has not changed; None where it must be checked."""
        try:
            checksum, _, text = read_regular(self._entry(build), _MAX_ENTRY_BYTES).partition(b"\n")
            if checksum.decode() != sha256(text).hexdigest():
                return None
            entry = json.loads(text, object_hook=_decode)
            code, part = entry["result"]
            return (code, part) if entry["rests_on"] == self.cache_key(build, entry["parts"]) else None
        except (
            OSError,
            ValueError,
            TypeError,
            LookupError,
            RecursionError,
        ):  # another version's may be laid out otherwise
            return None

    def store(self, build: Path, checked: CheckedBuild, result: tuple[int, Any], snapshot: Snapshot) -> None:
        """Write an entry, where nothing has changed since ``before`` the build was checked; else none."""
        digest, started = snapshot
        parts = sorted(str(path) for path in checked.build.parts.values())
        with contextlib.suppress(OSError, ValueError):
            if checked.problems or digest != self.cache_key(build):
                return
            if any(_last_changed_ns(path) > started for path in [*map(Path, parts), *_build_files(build)]):
                return
            entry = {"rests_on": self.cache_key(build, parts), "parts": parts, "result": result}
            text = json.dumps(entry, default=_encode).encode()
            _write_atomically(self._entry(build), b"\n".join([sha256(text).hexdigest().encode(), text]))

    def snapshot(self, build: Path) -> Snapshot:
        """The digest of a build's own files, empty where they cannot be read, and the time, before it is checked."""
        started = time.time_ns() - _MTIME_SLACK_NS
        try:
            return self.cache_key(build), started
        except (OSError, ValueError):
            return "", started

    def cache_key(self, build: Path, parts: Sequence[str] = ()) -> str:
        """The digest of all that a build's part rests on; OSError or ValueError where a file cannot be read."""
        if any(os.path.realpath(part) != part for part in parts):
            raise ValueError("what is behind a link may move")
        where = (
            self._run_key,
            display_path(build),
            str(build.resolve()),
            str(root_of(build, self._plan.context.repository.tree)),
        )
        nested_builds = (
            f"{[self._plan.context.repository.tree.exists(Path(part).parent / BUILD_FILE) for part in parts]}"
        )
        return _digest(
            [
                *map(os.fsencode, (*where, nested_builds)),
                *self._read(_build_files(build)),
                *self._read(map(Path, parts)),
            ]
        )

    def _read(self, paths: Iterable[Path]) -> Iterator[bytes]:
        files = self._plan.files
        for path in paths:
            yield os.fsencode(f"{path.name} {files is None or path.resolve() in files}")
            yield read_regular(path, LIMIT_BYTES + 1)

    def _entry(self, build: Path) -> Path:
        return self._folder / f"{_digest([self._format.encode(), os.fsencode(build.resolve())])}.json"


def _run_inputs(plan: RunPlan, output_format: str) -> Iterator[bytes]:
    """What all entries of a run rest on: the program and its libraries, the rules and limits, the terms."""
    if not _inputs_unchanged(plan):
        yield os.urandom(32)  # what this run finds is of no use to another
        return
    package = Path(__file__).parents[1]
    files = [path for path in sorted(package.rglob("*")) if path.suffix in (".py", ".txt")]
    for path in (*files, *sorted(schemas_dir().glob("*.json")), *plan.context.files()):
        yield os.fsencode(path)
        yield path.read_bytes()
    yield plan.base.commit.encode() if plan.base is not None else b""
    if plan.head is not None:
        yield os.fsencode(f"{plan.head.commit} {sorted(plan.head.staged)} {sorted(plan.head.moved.items())}")
    yield from (f"{name} {version(name)}".encode() for name in _LIBRARIES)
    yield os.fsencode(
        f"{sys.version} {platform.machine()} {output_format} {plan.stage} {plan.strict} {plan.context.repository.root}"
    )


def _inputs_unchanged(plan: RunPlan) -> bool:
    """Whether rules and settings are as they were when they were read."""
    inside = (path for folder in plan.context.folders for path in (folder, *folder.rglob("*")))
    try:
        return all(_last_changed_ns(path) < plan.started - _MTIME_SLACK_NS for path in (*inside, *plan.context.files()))
    except OSError:
        return False


def _build_files(build: Path) -> list[Path]:
    """A build's own files, and those that may be taken for one."""
    return [build / name for name in sorted(os.listdir(build)) if name.lower().endswith((".yaml", ".yml"))]


def _digest(texts: Iterable[bytes]) -> str:
    total = sha256()
    for text in texts:
        total.update(f"{len(text)}\n".encode())
        total.update(text)
    return total.hexdigest()


def _last_changed_ns(path: Path) -> int:
    state = os.stat(path)
    return max(state.st_mtime_ns, state.st_ctime_ns)


def _write_atomically(path: Path, data: bytes) -> None:
    """Whole or not at all; if a crash tears it the checksum shows it."""
    handle, name = tempfile.mkstemp(prefix=".", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        os.replace(name, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise


def _encode(obj: Any) -> dict[str, Any]:
    if isinstance(obj, bytes):
        return {"UTF-8": obj.decode()}
    if not isinstance(obj, Annotation):
        raise TypeError(f"{type(obj).__name__} cannot be kept")
    return {"Tally": field_values(obj)}


def _decode(data: dict[str, Any]) -> Any:
    if data.keys() == {"UTF-8"}:
        return data["UTF-8"].encode()
    if data.keys() != {"Tally"}:
        return data
    stored = Annotation(*data["Tally"])
    return replace(stored, places=tuple(Place(*place) for place in stored.places), paths=tuple(stored.paths))
