"""The call that every hostile test makes."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from attacked import Call, Ended

from buildcheck.cli.main import main


@pytest.fixture
def call(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Call:
    """Calls buildcheck in the test's folder; whatever happens, no crash and no hidden character may come out."""
    monkeypatch.chdir(tmp_path)

    def run(*words: object) -> Ended:
        capsys.readouterr()
        start = time.process_time()
        code = main([str(word) for word in words])
        seconds = time.process_time() - start
        out, err = capsys.readouterr()
        assert "internal error" not in err, err
        assert all(line.isprintable() for line in (out + err).split("\n"))
        return Ended(code, out, err, seconds)

    return run
