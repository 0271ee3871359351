"""A repository's history in eight commits, each of another sort: written once, compared step by step."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parent.parent
NEW_TRIAL = """\
  - cylinder: 2
    valve: exhaust
    crank: 490 deg
    trials:
      - {length: 9.4295 in, mark: {from: 0.149 in, to: 0.179 in}, shut_at: 0.157 in, open_at: 0.156 in}
"""
CONCESSION = """\
- rule: mark-centred
  cylinder: 3
  valve: exhaust
  up_to: 0.020 in
  because: runs at idle for hours, flat out for minutes
  accepted_by: the club's engineer
"""


def git(folder: Path, *words: str) -> str:
    """Run git in a folder as somebody."""
    who = ["-c", "user.name=T", "-c", "user.email=t@example.invalid", "-c", "core.hooksPath=/dev/null"]
    run = subprocess.run(["git", *who, *words], cwd=folder, capture_output=True, text=True, check=True)
    return run.stdout


def commit(folder: Path, tag: str) -> None:
    """Commit all that lies there, and tag it."""
    git(folder, "add", "--all")
    git(folder, "commit", "--quiet", "--message", tag)
    git(folder, "tag", tag)


def replace(path: Path, old: str, new: str) -> None:
    """Change what a file says, wherever it says it."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def write_history(top: Path) -> None:
    """Tags: before, then one for each step in ``STEPS``."""
    git(top, "init", "--quiet", "--initial-branch=main")
    shutil.copytree(ROOT / "tests" / "builds" / "vee_eight_mm", top / "engines" / "teal")
    (top / "shop-rules" / "marks").mkdir(parents=True)
    own = (ROOT / "rules" / "marks" / "mark-centred.yaml").read_text(encoding="utf-8")
    own = own.replace("for_each: valve", "replaces: true\nfor_each: valve", 1)
    (top / "shop-rules" / "marks" / "mark-centred.yaml").write_text(own, encoding="utf-8")
    (top / "buildcheck.yaml").write_text("rules: [shop-rules/]\n", encoding="utf-8")
    commit(top, "before")
    for tag, step in STEPS.items():
        step(top)
        commit(top, tag)


def _new_build(top: Path) -> None:
    shutil.copytree(ROOT / "example_build", top / "engines" / "dunlin")


def _trial_added(top: Path) -> None:
    marks = top / "engines" / "dunlin" / "marks.yaml"
    replace(marks, "  - cylinder: 3\n    valve: intake\n", f"{NEW_TRIAL}  - cylinder: 3\n    valve: intake\n")


def _swapped_head(top: Path) -> None:
    heads = top / "engines" / "dunlin" / "heads.yaml"
    replace(heads, "chamber_volume: 78 cc", "chamber_volume: 74 cc")
    replace(heads, "coil_bind_height: 29.2 mm", "coil_bind_height: 1.190 in")
    replace(heads, "tip_diameter: 0.310 in +/- 0.002 in", "tip_diameter: 7.874 mm +/- 0.002 in")
    replace(heads, "note: compressed; the old steel shim was half of that", "note: compressed")


def _limits_changed(top: Path) -> None:
    replace(top / "engines" / "dunlin" / "build.yaml", "at_least: 0.080 in", "at_least: 0.040 in")


def _renamed_folder(top: Path) -> None:
    git(top, "mv", "engines/dunlin", "engines/sheldrake")


def _deleted_file(top: Path) -> None:
    git(top, "rm", "--quiet", "engines/sheldrake/clearances.yaml")


def _rule_tightened(top: Path) -> None:
    replace(top / "shop-rules" / "marks" / "mark-centred.yaml", "at_most: tip_diameter / 6", "at_most: 0.009 in")


def _concession(top: Path) -> None:
    (top / "engines" / "sheldrake" / "concessions.yaml").write_text(CONCESSION, encoding="utf-8")


STEPS: dict[str, Callable[[Path], None]] = {
    "new-build": _new_build,
    "trial-added": _trial_added,
    "swapped-head": _swapped_head,
    "limits-changed": _limits_changed,
    "renamed-folder": _renamed_folder,
    "deleted-file": _deleted_file,
    "rule-tightened": _rule_tightened,
    "concession": _concession,
}
"""Tag -> what is done to the files before it is committed."""
