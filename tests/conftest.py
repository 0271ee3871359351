"""What several tests share: a build copied, changed in a few places, and checked by the command itself."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from garage import Garage, lay_out
from judging import Judged, Told
from rewritten import Edit, copied

from buildcheck.cli.main import main


@pytest.fixture
def judged(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Judged:
    """``judged("example_build", ("marks.yaml", old, new), options=["--strict"])``."""

    def judge(folder: str, *edits: Edit, options: list[str] | None = None) -> Told:
        build = copied(tmp_path / str(len(list(tmp_path.iterdir()))), folder, *edits)
        capsys.readouterr()
        code = main(["check", str(build), "--format", "json", *(options or [])])
        told = capsys.readouterr()
        assert told.err == ""
        [found] = json.loads(told.out)["builds"]
        return Told(code, found)

    return judge


@pytest.fixture(scope="session")
def laid_out(tmp_path_factory: pytest.TempPathFactory) -> Garage:
    folder = tmp_path_factory.mktemp("garage")
    (folder / "garage").mkdir()
    garage = Garage(folder / "garage", folder / "home")
    lay_out(garage)
    return garage


@pytest.fixture
def garage(laid_out: Garage, tmp_path: Path) -> Garage:
    """A repository of a test's own, hooks installed."""
    shutil.copytree(laid_out.root, tmp_path / "garage", symlinks=True)
    return Garage(tmp_path / "garage", Path(laid_out.environment["PRE_COMMIT_HOME"]))
