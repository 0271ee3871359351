"""The compiled YAML parser against the pure one: whatever it accepts, it reads the same, places and all."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from random import Random

import pytest

from buildcheck.cli.main import main
from buildcheck.yamlio.composer import _composed
from buildcheck.yamlio.parsers import COMPILED, PureEvents, c_parser_safe, compiled_events

pytestmark = pytest.mark.skipif(not COMPILED, reason="ruamel.yaml.clib is not installed")

ROOT = Path(__file__).parent.parent
CORPUS = [
    path.read_text()
    for folder in ("example_build", "rules", "tests/builds", "tests/schema_examples", "buildcheck/cli/starter")
    for path in sorted((ROOT / folder).rglob("*.yaml"))
]
PIECES = [
    *("a: 1", "- ", "{a: 1, b: 2}", "[1, 2]", ": ", "?", "? a", "# c", "\n", "  ", "'", '"', "|", "> ", ">+", "|2-"),
    *("\\x41", "a:b", "- -", ",", "{", "}", "[", "]", "\t", "\r\n", "é", "\u2028", "\x85", "\xa0", "\ufeff", "b: "),
    *("&", "*", "!", "%", "@", "`", "~", "0x1", "---", "...", "<<", "-", "="),
]


def same(text: str) -> bool:
    """Whether both read a text the same; the compiled parser may leave any text to the pure one."""
    root, problems = _composed(compiled_events(text), text, "x.yaml")
    return root is None or bool(problems) or _composed(PureEvents(text), text, "x.yaml") == (root, [])


@pytest.mark.parametrize("text", CORPUS)
def test_every_file_of_ours_is_read_by_the_compiled_parser_as_by_the_pure_one(text: str) -> None:
    assert c_parser_safe(text)
    assert same(text)


@pytest.mark.parametrize("seed", range(4))
def test_what_is_not_left_to_the_pure_parser_is_read_alike(seed: int) -> None:
    draw, tried = Random(seed), 0
    for _ in range(800):
        lines = draw.choice(CORPUS).splitlines(keepends=True)
        first = draw.randrange(len(lines))
        text = "".join(lines[first : first + draw.randrange(6)])
        for _ in range(draw.randrange(1, 7)):
            at = draw.randrange(len(text) + 1)
            text = text[:at] + draw.choice(PIECES) + text[at + draw.randrange(2) :]
        if c_parser_safe(text):
            tried += 1
            assert same(text), text
    assert tried > 200


@pytest.mark.parametrize("text", ["k: \t5", "? a", "a: b\u2028c", "\ufeffa: 1", "a: |# no comment\n  b", "a:\r\n"])
def test_texts_that_the_two_read_otherwise_are_left_to_the_pure_one(text: str) -> None:
    assert not c_parser_safe(text)


@pytest.mark.parametrize("text", ["a: ", ">+\n# c  ", "|\n..."])
def test_an_empty_value_is_left_to_the_pure_one(text: str) -> None:
    root, problems = _composed(compiled_events(text), text, "x.yaml")
    assert root is None
    assert problems


HIDDEN = "import sys; sys.modules['_ruamel_yaml'] = None"
"""How a program starts where the compiled parser is not installed."""


def test_without_the_compiled_parser_every_word_is_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["check", "--format", "json", str(ROOT / "example_build"), str(ROOT / "tests" / "builds" / "vee_eight_mm")]
    tool = f"""
from buildcheck.cli.main import main
from buildcheck.yamlio.parsers import COMPILED
print(COMPILED, flush=True)
main({words})
"""
    main(words)
    pure, compiled = _output(HIDDEN + tool), capsys.readouterr().out
    assert COMPILED
    assert pure.removeprefix("False\n") == compiled
    assert len(pure) > 100_000


def _output(program: str) -> str:
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert not done.stderr
    return done.stdout
