"""A garage's repository, by the real git and the real pre-commit: four builds, shared springs, a rule, settings.

``wigeon`` blocks already; ``smew`` and ``teal`` are being planned, with the springs of the shelf, which lean on another
part.
"""

from __future__ import annotations

import contextlib
import io
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent
EIDER, SMEW, TEAL, WIGEON = (f"engines/{name}" for name in ("eider", "smew", "teal", "wigeon"))
BUILDS = frozenset({EIDER, SMEW, TEAL, WIGEON})
HOOKS = """\
default_install_hook_types: [pre-commit, pre-merge-commit, pre-push]
repos:
  - repo: local
    hooks:
      - id: buildcheck
        name: buildcheck
        entry: {python} -m buildcheck check --touched
        language: system
        always_run: true
        pass_filenames: false
        require_serial: true
        verbose: true
        stages: [pre-commit, pre-merge-commit, pre-push, manual]
"""
HOOK = """\
#!/bin/sh
exec {python} -m buildcheck check --touched
"""
"""What pre-commit runs at a commit, without the time that it takes itself; tests/test_hook.py runs it for real."""
RULE = """\
id: cap
title: Force that our lobes take
for_each: valve_type
quantity: spring_force_open
at_most: 500 lbf
why: More wears a flat lobe round.
fix: Take a softer spring.
source: common practice, no published source
examples: [{given: {spring_force_open: 250 lbf}, gives: pass}, {given: {spring_force_open: 550 lbf}, gives: fail}]
"""


@dataclass(frozen=True)
class Outcome:
    """How a command ended, what it said, and the builds that it gave a verdict of."""

    code: int
    output: str

    @property
    def builds(self) -> frozenset[str]:
        lines = [line for line in self.output.splitlines() if line.endswith("[verdict]")]
        return frozenset(line.partition("/build.yaml:")[0] for line in lines)


class Garage:
    """The repository, and what is done there."""

    def __init__(self, root: Path, home: Path) -> None:
        self.root = root
        who = {f"GIT_{role}_{what}": "somebody" for role in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")}
        self.environment = {**os.environ, **who, "PRE_COMMIT_HOME": str(home), "GIT_CONFIG_GLOBAL": os.devnull}

    def run(self, *words: str, cwd: str = ".") -> Outcome:
        place = self.root / cwd
        done = subprocess.run(words, cwd=place, env=self.environment, capture_output=True, text=True, check=False)
        return Outcome(done.returncode, done.stdout + done.stderr)

    def git(self, *words: str, cwd: str = ".") -> str:
        result = self.run("git", *words, cwd=cwd)
        assert result.code == 0, result.output
        return result.output

    def commit(self, *words: str, staged: bool = True) -> Outcome:
        """Commit through the hooks, all that lies there or what is staged already."""
        if staged:
            self.git("add", "--all")
        return self.run("git", "commit", "-m", "change", *words)

    def staged(self) -> Outcome:
        """What the hook would print of all that lies there, without the commit."""
        self.git("add", "--all")
        return self.buildcheck("check", "--touched")

    def buildcheck(self, *words: str, cwd: str = ".") -> Outcome:
        """The command in this process."""
        output = io.StringIO()
        with self._inside(cwd), contextlib.redirect_stdout(output), contextlib.redirect_stderr(output):
            code = main(words)
        return Outcome(code, output.getvalue())

    @contextlib.contextmanager
    def _inside(self, cwd: str) -> Iterator[None]:
        before = dict(os.environ)
        os.environ.update(self.environment)
        try:
            with contextlib.chdir(self.root / cwd):
                yield
        finally:
            os.environ.clear()
            os.environ.update(before)

    def install_pre_commit(self) -> None:
        """Have the real pre-commit run the hooks, in place of what stands in for it."""
        for hook in ("pre-commit", "pre-merge-commit"):
            (self.root / ".git" / "hooks" / hook).unlink()
        self.run(sys.executable, "-m", "pre_commit", "install")

    def write(self, name: str, text: str) -> None:
        (self.root / name).parent.mkdir(parents=True, exist_ok=True)
        (self.root / name).write_text(text, encoding="utf-8")

    def add(self, name: str, text: str = "# looked at again\n") -> None:
        """Write behind a file's end."""
        self.write(name, (self.root / name).read_text(encoding="utf-8") + text)

    def replace(self, name: str, old: str, new: str) -> None:
        text = (self.root / name).read_text(encoding="utf-8")
        assert old in text
        self.write(name, text.replace(old, new))


def lay_out(garage: Garage) -> None:
    """All of it, committed past the hooks, which are installed."""
    for build in sorted(BUILDS):
        shutil.copytree(ROOT / "example_build", garage.root / build)
        garage.replace(f"{build}/build.yaml", "name: Dunlin", f"name: {build}")
    garage.replace("engines/wigeon/marks.yaml", "{from: 0.145 in, to: 0.172 in}", "{from: 0.005 in, to: 0.032 in}")
    for build in ("smew", "teal"):
        garage.replace(f"engines/{build}/build.yaml", "stage: ordering", "stage: planning")
        for name in ("clearances", "marks", "pushrods", "stackup"):
            (garage.root / f"engines/{build}/{name}.yaml").unlink(missing_ok=True)
        kept = (garage.root / f"engines/{build}/heads.yaml").read_text(encoding="utf-8").partition("\nsprings:")[0]
        each = "{uses: parts/s-120.yaml, installed_height: 1.700 in}"
        garage.write(f"engines/{build}/heads.yaml", f"{kept}\nsprings: {{intake: {each}, exhaust: {each}}}\n")
    garage.write("parts/s-120.yaml", "uses: parts/wire.yaml\nseat_force: 95 lbf\ncoil_bind_height: 29.2 mm\n")
    garage.write("parts/wire.yaml", "rate: 265 lbf/in\n")
    garage.write("parts/spare.yaml", "rate: 300 lbf/in\n")
    garage.write("rules-of-ours/cap.yaml", RULE)
    garage.write("buildcheck.yaml", "rules: [rules-of-ours]\n")
    garage.write("README.md", "Our engines.\n")
    garage.write(".pre-commit-config.yaml", HOOKS.format(python=sys.executable))
    garage.git("init", "-q", "-b", "main")
    for hook in ("pre-commit", "pre-merge-commit"):
        (garage.root / ".git" / "hooks").mkdir(exist_ok=True)
        script = garage.root / ".git" / "hooks" / hook
        script.write_text(HOOK.format(python=sys.executable), encoding="utf-8")
        script.chmod(0o755)
    garage.git("add", "--all")
    garage.git("commit", "-q", "--no-verify", "-m", "start")
