"""docs/reference is what the command writes from the rules, quantities and schemas as they are now."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from buildcheck.app.rule_context import rule_context_for
from buildcheck.cli.main import main
from buildcheck.output.reference.field_pages import key_table
from buildcheck.output.reference.reference_pages import reference_pages
from buildcheck.registry.quantity_table import QUANTITIES
from buildcheck.schema.fields import field_kinds
from buildcheck.units.quantity import parse

ROOT = Path(__file__).parent.parent
FOLDER = ROOT / "docs/reference"
REPAIR = "run: .venv/bin/buildcheck explain --pages docs/reference"
PAGES = reference_pages(rule_context_for(ROOT))


def test_no_page_is_stale() -> None:
    paths = {name: FOLDER / name for name in PAGES}
    written = {name: path.read_text(encoding="utf-8") if path.exists() else "" for name, path in paths.items()}
    stale = [name for name, text in PAGES.items() if written[name] != text]
    assert stale == [], REPAIR


def test_no_page_is_left_of_a_rule_that_is_gone() -> None:
    found = {path.relative_to(FOLDER).as_posix() for path in FOLDER.rglob("*") if path.is_file()}
    assert found == set(PAGES), "delete the pages that are too many"


def test_each_rule_has_a_page_with_reason_source_and_executed_examples() -> None:
    rules = rule_context_for(ROOT).rules.rules
    lacking = [
        (rule.id, part)
        for rule in rules
        for part in (f"# {rule.title}", "## Why", "## Limit", "## Source", "| passed |", "| failed |")
        if part not in PAGES[f"rules/{rule.id}.md"]
    ]
    assert len(rules) > 50
    assert lacking == []


def test_the_limit_that_each_page_shows_can_be_set(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    blocks = [re.findall(r"^```yaml\nlimits:\n(.*?)^```$", text, re.M | re.S) for text in PAGES.values()]
    entries = "".join(entry for found in blocks for entry in found)
    (tmp_path / "buildcheck.yaml").write_text(f"limits:\n{entries}", encoding="utf-8")
    assert main(["rules", str(tmp_path)]) == 0
    assert entries.count("because:") > 50
    assert len(capsys.readouterr().out.splitlines()) == len(rule_context_for(ROOT).rules.rules)


def test_each_quantity_and_each_field_is_described() -> None:
    assert [name for name in QUANTITIES if f"\n## {name}\n" not in PAGES["quantities.md"]] == []
    fields, last = PAGES["fields.md"], {path.rpartition(".")[2] for path in field_kinds()}
    assert [key for key in last if key not in ("note", "part", "intake", "exhaust") and f"{key}`" not in fields] == []


@pytest.mark.parametrize("name", ["fields.md", "results.md", "settings.md"])
def test_every_field_has_a_meaning_and_what_to_enter(name: str) -> None:
    rows = [line.split(" | ") for line in PAGES[name].splitlines() if re.match(r"\| [`*]", line)]
    assert len(rows) > 50
    assert [row[0] for row in rows if not row[1].strip() or not row[2].strip()] == []


def test_a_row_shows_meaning_unit_and_range() -> None:
    schema = {
        "properties": {
            "lift": {"type": "string", "format": "length", "description": "How far.", "x-plausible": ["1 mm", "9 mm"]}
        },
        "required": ["lift"],
    }
    assert list(key_table(schema))[2:] == ["| **`lift`** | How far. | length: in, mm | 1 mm to 9 mm |"]


def test_the_units_of_a_row_are_units_that_can_be_entered() -> None:
    rows = [line.split(" | ")[2] for line in PAGES["fields.md"].splitlines() if re.match(r"\| [`*]", line)]
    shown = {row for row in rows if ": " in row and not row.startswith("thread")}
    assert len(shown) == 8
    for row in shown:
        kind, _, units = row.partition(": ")
        assert [parse(f"1 {unit}", kind).kind for unit in units.split(", ")] == [kind] * len(units.split(", "))


def test_a_team_writes_pages_of_its_own_rules(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["start", "--repository", str(tmp_path / "shop")]) == 0
    folder = tmp_path / "shop"
    (folder / "buildcheck.yaml").write_text("limits: {quench: {at_most: 0.055 in, because: our own pistons}}\n")
    assert main(["explain", "quench", str(folder), "--pages", str(tmp_path / "pages")]) == 0
    assert "pages written" in capsys.readouterr().out
    page = (tmp_path / "pages/rules/quench.md").read_text()
    assert "- At most: 0.055 in, set by the team in buildcheck.yaml" in page
    assert "- Because our own pistons" in page
