"""Findings link to the page of their rule, and `explain --pages` writes that page."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from history import commit, git
from rewritten import copied

from buildcheck.cli.main import main

Output = pytest.CaptureFixture[str]
BAD = ("marks.yaml", "mark: {from: 0.145 in, to: 0.172 in}", "mark: {from: 0.005 in, to: 0.032 in}")


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A team with a bad mark and a page of each rule."""
    top = tmp_path_factory.mktemp("shop")
    copied(top, "example_build", BAD)
    (top / "buildcheck.yaml").write_text("rule_pages: 'https://example.org/pages/rules/{rule}.md'\n")
    main(["explain", "--pages", str(top / "pages")])
    return top


@pytest.mark.parametrize("form", ["text", "summary", "sarif"])
def test_every_link_leads_to_the_page_of_its_rule(shop: Path, form: str, capsys: Output) -> None:
    main(["check", str(shop / "build"), "--format", form])
    linked = re.findall(r"https://example\.org/(pages/rules/([\w-]+)\.md)", capsys.readouterr().out)
    assert "mark-on-tip" in {rule for _, rule in linked}
    assert [path for path, rule in linked if f"Rule `{rule}`" not in (shop / path).read_text(encoding="utf-8")] == []


def test_the_comment_of_a_comparison_links_its_rules(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    build = copied(tmp_path, "example_build")
    (tmp_path / "buildcheck.yaml").write_text("rule_pages: 'https://example.org/pages/rules/{rule}.md'\n")
    git(tmp_path, "init", "--quiet")
    commit(tmp_path, "measured")
    marks = build / "marks.yaml"
    marks.write_text(marks.read_text(encoding="utf-8").replace(*BAD[1:]), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    main(["compare", "HEAD", "--format", "markdown"])
    assert "- ✗ **[mark-on-tip](<https://example.org/pages/rules/mark-on-tip.md>)**" in capsys.readouterr().out


def test_json_has_the_address_once(shop: Path, capsys: Output) -> None:
    main(["check", str(shop / "build"), "--format", "json"])
    assert json.loads(capsys.readouterr().out)["rule_pages"] == "https://example.org/pages/rules/{rule}.md"


def test_without_an_address_nothing_is_linked(tmp_path: Path, capsys: Output) -> None:
    (tmp_path / "buildcheck.yaml").write_text("{}\n")
    copied(tmp_path, "example_build", BAD)
    for form in ("text", "summary", "json"):
        main(["check", str(tmp_path / "build"), "--format", form])
    shown = capsys.readouterr().out
    assert "page:" not in shown
    assert "rule_pages" not in shown


def test_the_report_links_its_rules_and_is_stale_once_the_address_changes(shop: Path, capsys: Output) -> None:
    build, settings = str(shop / "build"), shop / "buildcheck.yaml"
    main(["report", build])
    report = (shop / "build" / "REPORT.md").read_text(encoding="utf-8")
    assert "- Rules: [mark-on-tip](<https://example.org/pages/rules/mark-on-tip.md>), [" in report
    assert main(["report", "--check", build]) == 0
    written = settings.read_text(encoding="utf-8")
    settings.write_text("rule_pages: 'https://example.org/other/{rule}.md'\n")
    capsys.readouterr()
    assert main(["report", "--check", build]) == 1
    assert "is stale" in capsys.readouterr().out
    settings.write_text(written)
