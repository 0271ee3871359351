"""Colour only where somebody sees it, and never colour alone."""

from __future__ import annotations

import os
import pty
import re
from collections.abc import Iterator
from typing import TextIO

import pytest
from repositories import written

from buildcheck.app.run import Run
from buildcheck.output import text
from buildcheck.output.colour import coloured, use_colour

write = written(text)


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> Iterator[TextIO]:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    main, side = pty.openpty()
    with os.fdopen(side, "w") as stream:
        yield stream
    os.close(main)


def test_a_terminal_gets_colour_and_a_pipe_does_not(terminal: TextIO) -> None:
    read, write_end = os.pipe()
    with os.fdopen(read), os.fdopen(write_end, "w") as pipe:
        assert (use_colour("auto", terminal), use_colour("auto", pipe)) == (True, False)
        assert (use_colour("never", terminal), use_colour("always", pipe)) == (False, True)


@pytest.mark.parametrize(("value", "colours"), [("1", False), ("0", False), ("", True)])
def test_no_color_counts_when_it_says_something(
    terminal: TextIO, monkeypatch: pytest.MonkeyPatch, value: str, colours: bool
) -> None:
    monkeypatch.setenv("NO_COLOR", value)
    assert use_colour("auto", terminal) is colours
    assert use_colour("always", terminal)


def test_without_its_colours_the_text_is_the_same(done: Run) -> None:
    text = write(done)
    quoted = coloured(text)
    assert len(re.findall("\x1b\\[1;3", quoted)) == len(re.findall(r":\d+:\d+: (error|warning|note): ", text))
    assert re.sub("\x1b\\[[0-9;]*m", "", quoted) == text
