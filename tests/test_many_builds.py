"""A shop with many builds, by the real git and the real pre-commit: a changed part rechecks those that use it."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from pathlib import Path

import pytest
from shop import COUNT, SPRINGS, folder, generate, users_of

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import run
from buildcheck.cli.main import main

HOOK = """\
      - id: {id}
        name: {id}
        entry: {python} -m buildcheck {call}
        language: system
        always_run: true
        pass_filenames: false
        require_serial: true
"""
CALLS = {"buildcheck": "check --touched", "buildcheck-report": "report --check --touched"}
NAMES = {f"GIT_{role}_{what}": "colleague" for role in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")}
STIFFER = "parts/springs/s-2.yaml"


class Shop:
    """The repository, and what its members do there."""

    def __init__(self, root: Path) -> None:
        self.root = root
        settings = {"PRE_COMMIT_HOME": str(root.parent / "home"), "GIT_CONFIG_GLOBAL": os.devnull}
        self.environment = {**os.environ, **NAMES, **settings}

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(words, cwd=self.root, env=self.environment, capture_output=True, text=True, check=False)

    def done(self, *words: str) -> str:
        done = self.run(*words)
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    def report(self) -> None:
        with contextlib.chdir(self.root):
            assert main(["report", "engines"]) == 0

    def change(self, old: str, new: str) -> None:
        text = (self.root / STIFFER).read_text(encoding="utf-8")
        assert old in text
        (self.root / STIFFER).write_text(text.replace(old, new), encoding="utf-8")


@pytest.fixture(scope="session")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """All builds reported and committed through the hooks."""
    shop = Shop(tmp_path_factory.mktemp("many") / "shop")
    generate(shop.root)
    hooks = "".join(HOOK.format(id=name, python=sys.executable, call=call) for name, call in CALLS.items())
    (shop.root / ".pre-commit-config.yaml").write_text(
        f"repos:\n  - repo: local\n    hooks:\n{hooks}", encoding="utf-8"
    )
    shop.done("git", "init", "-q")
    shop.done(sys.executable, "-m", "pre_commit", "install")
    shop.report()
    shop.done("git", "add", "-A")
    shop.done("git", "commit", "-q", "-m", "many builds")
    return shop


def _selected(output: str, word: str) -> set[str]:
    return {line.split("/")[0] + "/" + line.split("/")[1] for line in output.splitlines() if word in line}


def test_the_generated_shop_is_as_wide_as_it_says(shop: Shop) -> None:
    assert len(list((shop.root / "engines").glob("*/REPORT.md"))) == COUNT
    assert [len(users_of(spring)) for spring in range(SPRINGS)] == [COUNT // SPRINGS] * SPRINGS


def test_a_changed_part_blocks_exactly_the_builds_that_use_it_and_then_only_their_reports_change(shop: Shop) -> None:
    shop.change("coil_bind_height: 29.2 mm", "coil_bind_height: 1.5 in")
    blocked = shop.run("git", "commit", "-am", "a stiffer spring")
    expected = blocked.stdout + blocked.stderr
    assert blocked.returncode == 1
    assert {
        line.partition("/heads.yaml:")[0] for line in expected.splitlines() if ": error: " in line and "bind" in line
    } == (users_of(2))
    assert _selected(expected, "error: is stale") == users_of(2)
    assert _selected(expected, "note: Not ready") == users_of(2)

    shop.change("coil_bind_height: 1.5 in", "coil_bind_height: 29.3 mm")
    shop.report()
    shop.done("git", "commit", "-qam", "another spring")
    changed = set(shop.done("git", "diff", "--name-only", "HEAD~1").split())
    assert changed == {STIFFER, *(f"{build}/REPORT.md" for build in users_of(2))}


def _checked(shop: Shop, number: int) -> CheckedBuild:
    return run([shop.root / folder(number)]).builds[0]


def test_the_concession_is_counted_and_named(shop: Shop) -> None:
    report = (shop.root / folder(0) / "REPORT.md").read_text(encoding="utf-8")
    assert _checked(shop, 0).verdict == "pass"
    assert "with 1 concession" in report
    assert "workshop foreman" in report


def test_the_shop_s_rule_and_limit_hold_for_every_build(shop: Shop) -> None:
    checked = _checked(shop, 1)
    own = [result for result in checked.results if result.rule == "spring-force-cap"]
    assert [result.kind for result in own] == ["pass", "pass"]
    bound = checked.limits.in_force(checked.rules["coil-bind-clearance"])["at_least"]
    assert (bound.limit.text, bound.origin) == ("0.065 in", "team")


def test_a_part_that_is_not_in_the_commit_is_reported(shop: Shop) -> None:
    build = shop.root / folder(1) / "heads.yaml"
    kept = build.read_text(encoding="utf-8")
    (shop.root / "parts/springs/s-9.yaml").write_text("rate: 265 lbf/in\n", encoding="utf-8")
    build.write_text(kept.replace("s-1.yaml", "s-9.yaml"), encoding="utf-8")
    done = shop.run(sys.executable, "-m", "buildcheck", "check", "--tracked", folder(1))
    build.write_text(kept, encoding="utf-8")
    (shop.root / "parts/springs/s-9.yaml").unlink()
    assert done.returncode == 2
    assert "springs.intake.uses: parts/springs/s-9.yaml exists but is not in the commit: git add it" in done.stdout
