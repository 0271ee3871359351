"""The comment of a pull request: order, one paragraph for a shared part, length, drawing, links, stability."""

from __future__ import annotations

import json
import re
import shutil
import sys
from collections.abc import Callable
from contextlib import chdir, redirect_stdout
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from history import ROOT, commit, git, replace
from shared_spring import folder, write_builds

from buildcheck.cli.main import main
from buildcheck.output.compare.compare_markdown import LIMIT, MARKER, NOTHING
from buildcheck.output.compare.fitted_text import Section, fitted

sys.path.insert(0, str(Path(__file__).parent / "bench"))

from comment_sizes import sizes

Comment = Callable[..., str]
BAD_MARK = ("mark: {from: 0.145 in, to: 0.172 in}", "mark: {from: 0.005 in, to: 0.032 in}")


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("shared")
    write_builds(top, 6, red=5)
    return top


@pytest.fixture(scope="module")
def red(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("red")
    git(top, "init", "--quiet", "--initial-branch=main")
    shutil.copytree(ROOT / "example_build", top / "engines" / "dunlin")
    commit(top, "good")
    replace(top / "engines" / "dunlin" / "marks.yaml", *BAD_MARK)
    commit(top, "bad")
    return top


@pytest.fixture
def comment(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Comment:
    def compare(top: Path, *words: str) -> str:
        monkeypatch.chdir(top)
        main(["compare", *words, "--format", "markdown"])
        return capsys.readouterr().out

    return compare


@pytest.fixture(scope="module")
def of_six(shared: Path) -> str:
    """The comment of six builds, made once."""
    return comment_of(shared, "before", "after")


@pytest.fixture(scope="module")
def of_red(red: Path) -> str:
    """The comment of a mark that leaves the tip, made once."""
    return comment_of(red, "good", "bad")


def comment_of(top: Path, before: str, after: str) -> str:
    with chdir(top), redirect_stdout(StringIO()) as text:
        main(["compare", before, after, "--format", "markdown"])
        return text.getvalue()


def test_six_builds_of_one_part_take_one_paragraph(of_six: str) -> None:
    assert of_six.count("coil\\_bind\\_height: 29.2 mm → 29.35 mm") == 1
    assert "**6 builds, 2 become red**" in of_six
    assert of_six.count("✗ **coil-bind-clearance**") == 1
    assert of_six.count("Compressed springs") <= 1
    assert len(of_six.encode()) < 4_000


def test_every_build_that_blocks_is_named_and_the_rest_is_counted(of_six: str) -> None:
    rows = [line for line in of_six.splitlines() if line.startswith("| ")]
    assert rows[1] == (
        "| 2 builds: engines/e000, engines/e005 | **pass → fail** "
        "| coil-bind-clearance (exhaust) "
        "| 12 pushrods + 1 spare of 9.450 in (gauge length) → do not order | – |"
    )
    assert rows[2].startswith("| 4 builds: engines/e001, engines/e002, engines/e003 and 1 more | pass, as before |")


def test_the_order_of_the_parts_is_that_of_rank(of_red: str) -> None:
    lines = of_red.splitlines()
    starts = (MARKER, "| Build ", "### Dangers", "### engines/dunlin", "- ✗ ", "```text", "### What to do", "<details>")
    found = [next(i for i, line in enumerate(lines) if line.startswith(start)) for start in starts]
    assert found == sorted(found)


def test_dangers_and_blockers_are_outside_every_fold(of_red: str) -> None:
    text = of_red
    unfolded = re.sub(r"(?s)<details>.*?</details>", "", text)
    assert unfolded.count("✗") == text.count("✗") > 0
    assert unfolded.count("Marks made with light") == text.count("Marks made with light") == 1


def test_each_cure_once(of_red: str) -> None:
    text = of_red
    cure = "Check the entry, then ink the valve tip and take the mark again"
    assert text.count(cure) == 1
    assert f"- {cure}" in text


def test_a_cure_is_the_one_of_the_report(red: Path, of_red: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What fits this valve, not every repair that the rule knows."""
    text = of_red
    main(["check", str(red)])
    [shown] = [line for line in capsys.readouterr().out.splitlines() if "If the result repeats" in line]
    assert f"- {shown.removeprefix('  help: ')} (mark-on-tip)" in text


def test_a_moved_mark_is_drawn_before_and_after(of_red: str) -> None:
    lines = of_red.splitlines()
    at = lines.index("```text")
    assert lines[at - 2] == "cylinder 1 intake: mark 0.1450 to 0.1720 in → 0.0050 to 0.0320 in from the pivot side:"
    assert lines[at + 1 : at + 4] == [
        "before |              ####              |",
        "after  |###             :               |", "```",
    ]  # fmt: skip


def test_links_lead_to_the_line(red: Path, comment: Comment) -> None:
    text = comment(red, "good", "bad", "--link-base", "https://example.org/club/engines/blob/main/")
    assert "([marks.yaml:21](https://example.org/club/engines/blob/main/engines/dunlin/marks.yaml#L21))" in text


def test_a_link_base_is_for_markdown(red: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(red)
    assert main(["compare", "good", "bad", "--link-base", "https://example.org/"]) == 2


def test_the_same_change_has_the_same_text(red: Path, of_red: str, comment: Comment) -> None:
    hashes = [git(red, "rev-parse", tag).strip() for tag in ("good", "bad")]
    assert of_red == comment(red, *hashes) == comment(red, "good")


def test_nothing_changed_is_marked_so_that_a_bot_stays_silent(red: Path, of_red: str, comment: Comment) -> None:
    assert comment(red, "bad", "bad").splitlines()[:2] == [MARKER, NOTHING]
    assert NOTHING not in of_red


def test_json_names_the_same_builds(shared: Path, monkeypatch: Any, capsys: Any) -> None:
    monkeypatch.chdir(shared)
    main(["compare", "before", "after", folder(0), "--format", "json"])
    [build] = json.loads(capsys.readouterr().out)["builds"]
    assert (build["folder"], build["verdict"]["after"]) == (folder(0), "fail")


def test_what_matters_least_is_shortened_first() -> None:
    head = Section(1, "", "| Build |", tuple((f"| engines/e{n} blocks |", f"| e{n} |") for n in range(900)))
    cause = Section(2, "blocker, named in the table", "\n### Causes\n", tuple((40 * "x", "x", "") for _ in range(900)))
    folded = Section(6, "input", "<details>\n", tuple((90 * "y", "") for _ in range(900)), "</details>")
    text = fitted([head, cause, folded], LIMIT)
    assert len(text.encode()) <= LIMIT
    assert text.count("| engines/e") == 900
    assert text.count(40 * "x") == 900
    assert 0 < text.count(90 * "y") < 900
    assert "Left out to keep this short: " in text
    shorter = fitted([head, cause, folded], 15_000)
    assert (shorter.count("| e"), shorter.count("y" * 90), "<details>" in shorter) == (900, 0, False)
    assert len(shorter.encode()) <= 15_000


def test_the_size_of_a_comment_is_about_that_of_the_page(tmp_path: Path) -> None:
    """Of one build; ``tests/bench/comment_sizes.py`` prints all. A fifth more or less is about as much."""
    page = (ROOT / "docs/compare.md").read_text(encoding="utf-8")
    stated = re.findall(r"about ([\d.]+), [\d.]+ and [\d.]+ kB", page)
    assert sizes(tmp_path, 1) == [pytest.approx(1000 * float(number), rel=0.2) for number in stated]
