from __future__ import annotations

from pathlib import Path

import pytest
from repositories import BUILDS, lay

from buildcheck.app.run import Run, run


@pytest.fixture(scope="session")
def repository(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return lay(tmp_path_factory.mktemp("repository"))


@pytest.fixture(scope="session")
def done(repository: Path) -> Run:
    """The whole repository, judged."""
    return run([repository])


@pytest.fixture(scope="session")
def shipped() -> Run:
    """The demo and the tests' three builds, judged."""
    return run(BUILDS)
