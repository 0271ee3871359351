"""The documents as they are followed: each block of a page is a command to run, its output, or a file to write.

``python tests/documents.py`` puts the output of today into every page; read what it changed.
"""

from __future__ import annotations

import io
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from markdown_it.token import Token

from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent
PARSER = MarkdownIt("commonmark").enable("table")
SET_UP = re.compile(r"^python3 -m (?:venv \.venv && \.venv/bin/pip install -q -e \S+ && |pip install buildcheck$)")
"""What sets the tool up before a command: the tests of README and package do it from this checkout."""
SHELL = re.compile(r"[|&;<>$`]")
HOOKS = "buildcheck,buildcheck-report"
"""What a commit on a page runs without: the same commits are made with hooks in test_first_day.py."""
NAMES = {f"GIT_{role}_{what}": "colleague" for role in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")}


@dataclass(frozen=True)
class Block:
    """One fenced block: its page, its line, what it is, the file that it names, and its text."""

    page: str
    line: int
    kind: str
    file: str
    text: str

    def __str__(self) -> str:
        return f"{self.page}:{self.line}"


@cache
def tokens(page: str) -> list[Token]:
    """A page as parsed."""
    return PARSER.parse((ROOT / page).read_text(encoding="utf-8"))


def blocks(page: str) -> list[Block]:
    """Every fenced block of a page, in order."""
    found = [token for token in tokens(page) if token.type == "fence"]
    infos = [(*token.info.split(), "", "")[:2] for token in found]
    return [
        Block(page, (token.map or [0])[0] + 1, kind, file, token.content)
        for token, (kind, file) in zip(found, infos, strict=True)
    ]


def code_spans(page: str) -> list[str]:
    """Every piece of code within the sentences and tables of a page."""
    return [child.content for token in tokens(page) for child in token.children or () if child.type == "code_inline"]


PAGES = [path.relative_to(ROOT).as_posix() for path in (ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md")))]
FOLLOWED = [page for page in PAGES if "\n```" in (ROOT / page).read_text(encoding="utf-8")]
ELSEWHERE = {
    (
        "README.md",
        "example_build/marks.yaml:21:42: error",
    ): "test_readme.py::test_four_steps_from_green_to_red_and_back",
    ("README.md", "   - {length: 9.4255 in"): "test_readme.py::test_four_steps_from_green_to_red_and_back",
    ("README.md", "# .pre-commit-config.yaml"): "test_readme.py::test_the_hooks_of_the_readme_exist",
    ("README.md", "python3 -m venv .venv && .venv/bin/pip install -q -e '.[test]'"): (
        "test_readme.py::test_the_test_command_sets_up_and_runs_pytest"
    ),
    ("docs/ci.md", "name: buildcheck\n"): "test_ci_docs.py::test_the_files_are_valid_for_their_ci",
    ("docs/ci.md", "name: buildcheck comment\n"): "test_ci_docs.py::test_the_files_are_valid_for_their_ci",
    ("docs/ci.md", "buildcheck:\n  image:"): "test_ci_docs.py::test_the_files_are_valid_for_their_ci",
}
"""Page and beginning of a block -> the test that holds it."""


def holders(block: Block) -> list[str]:
    """The tests that hold a block in place of this one."""
    return [test for (page, begin), test in ELSEWHERE.items() if page == block.page and block.text.startswith(begin)]


def answers(block: Block) -> str:
    """What is typed at the prompts of a conversation, which ends with q."""
    typed = [line.removeprefix("> ") for line in block.text.splitlines() if line.startswith("> ")]
    return "".join(f"{line}\n" for line in [*typed, "q"])


class Typed(io.StringIO):
    """What is typed, echoed as a terminal does."""

    def readline(self, size: int | None = -1, /) -> str:
        line = super().readline(size or -1)
        sys.stdout.write(line)
        return line


@dataclass
class Follower:
    """Somebody who follows a page in a folder of their own, and what the last commands printed."""

    patch: pytest.MonkeyPatch
    home: Path
    printed: list[str] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)

    def follow_page(self, page: str) -> Iterator[tuple[Block, list[str]]]:
        """Follow a page from its first block to its last; each output with its lines that were not printed."""
        own = [block for block in blocks(page) if not holders(block)]
        for block, after in pairwise([*own, Block(page, 0, "", "", "")]):
            yield block, self.follow(block, answers(after))

    def follow(self, block: Block, typed: str = "") -> list[str]:
        """Run or write a block; the lines that it shows and that were not printed, in order."""
        if block.kind == "sh":
            self.printed = [line for command in block.text.splitlines() for line in self.run(command, typed)]
        elif block.file:
            Path(block.file).parent.mkdir(parents=True, exist_ok=True)
            Path(block.file).write_text(block.text, encoding="utf-8")
        else:
            assert block.kind == "text", f"{block}: neither a command, an output, nor a file"
            printed = iter(self.printed)
            return [line for line in block.text.splitlines() if line not in printed]
        return []

    def run(self, line: str, typed: str = "") -> list[str]:
        """What a command prints, errors too."""
        command = SET_UP.sub("", line).replace(".venv/bin/buildcheck", "buildcheck")
        words = shlex.split(command, comments=True)
        if not words:
            return []
        if words[:1] == ["cd"]:
            self.patch.chdir(words[1])
            return []
        if words[:2] == ["cp", "-r"]:
            shutil.copytree(words[2], words[3])
            return []
        in_process = words[:1] == ["buildcheck"] and not SHELL.search(command)
        code, output = self._program(words[1:], typed) if in_process else self._shell(command)
        if code not in (0, 1) or "Traceback" in output:
            self.failed.append(output.strip() or command)
        return output.splitlines()

    def _program(self, words: list[str], typed: str) -> tuple[int, str]:
        self.patch.setattr(sys, "stdin", Typed(typed))
        with redirect_stdout(io.StringIO()) as out, redirect_stderr(out):
            try:
                code = main(words)
            except SystemExit as ended:
                code = int(ended.code or 0)
        return code, out.getvalue()

    def _shell(self, command: str) -> tuple[int, str]:
        path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
        settings = {"PATH": path, "PRE_COMMIT_HOME": str(self.home), "GIT_CONFIG_GLOBAL": os.devnull, "SKIP": HOOKS}
        done = subprocess.run(
            ["bash", "-e", "-o", "pipefail", "-c", command], env={**os.environ, **NAMES, **settings},
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False,
        )  # fmt: skip
        return done.returncode, done.stdout


def follower_in(folder: Path, patch: pytest.MonkeyPatch) -> Follower:
    """Somebody with a fresh checkout, where the demo lies."""
    shutil.copytree(ROOT / "example_build", folder / "example_build")
    patch.chdir(folder)
    return Follower(patch, folder / "home")


def repair(page: str) -> Iterator[str]:
    """Put what is printed now in place of each line that is no longer printed; yield those without a likely one."""
    path = ROOT / page
    with tempfile.TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patch:
        follower = follower_in(Path(folder), patch)
        for block, absent in follower.follow_page(page):
            for line in absent:
                likely = get_close_matches(line, follower.printed, 1, 0.3)
                if likely:
                    text = path.read_text(encoding="utf-8")
                    path.write_text(text.replace(f"\n{line}\n", f"\n{likely[0]}\n"), encoding="utf-8")
                else:
                    yield f"{block}: {line}"


if __name__ == "__main__":
    for problem in (problem for page in FOLLOWED for problem in repair(page)):
        print(problem)
