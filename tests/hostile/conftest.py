"""The call that every hostile test makes."""

from __future__ import annotations

import time
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path

import pytest
from attacked import Call, Ended

from buildcheck.cli.main import main

EXAMPLE = Path(__file__).parents[2] / "example_build"


@pytest.fixture(scope="session")
def cost_of_one_check() -> float:
    """CPU seconds that a check of the example costs on this machine: what hostile input is compared with."""

    def one_check() -> float:
        start = time.process_time()
        with redirect_stdout(StringIO()):
            main(["check", str(EXAMPLE)])
        return time.process_time() - start

    return min(one_check() for _ in range(3))


@pytest.fixture
def call(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path, cost_of_one_check: float
) -> Call:
    """Calls buildcheck in the test's folder; whatever happens, no crash and no hidden character may come out."""
    monkeypatch.chdir(tmp_path)

    def run(*words: object) -> Ended:
        capsys.readouterr()
        start = time.process_time()
        code = main([str(word) for word in words])
        cost = (time.process_time() - start) / cost_of_one_check
        out, err = capsys.readouterr()
        assert "internal error" not in err, err
        assert all(line.isprintable() for line in (out + err).split("\n"))
        return Ended(code, out, err, cost)

    return run
