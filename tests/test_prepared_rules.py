"""The rules and the report's template as a wheel holds them prepared give what their files give.

Where what is prepared is not current, the files are parsed.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from hatchling.builders.wheel import WheelBuilder
from history import ROOT

from buildcheck.core.package_data import rules_dir
from buildcheck.repo.file_tree import DISK
from buildcheck.rules.prepared_rules import decode_rules, encode_rules, key_of_rules
from buildcheck.rules.rule_loader import load_rules, prepare_rules

RULES = load_rules()[0].rules
OUTPUTS = """
from buildcheck.cli.main import main
for output_format in ("text", "json", "sarif"):
    main(["check", "--format", output_format, "example_build"])
main(["rules"])
"""
DAMAGED = """
from buildcheck.core.package_data import prepared_rules_file
from buildcheck.rules import rule_loader
good = prepared_rules_file().read_text(encoding="utf-8")
for text in (good, "", "{}", "[1]", '{"key": "x", "rules": []}', good[:-9], good.replace("Rule", "Rules"), None):
    prepared_rules_file().unlink() if text is None else prepared_rules_file().write_text(text, encoding="utf-8")
    print(rule_loader._prepared() is not None)
prepared_rules_file().write_text(good, encoding="utf-8")
"""
REPORTS = """
from pathlib import Path
from buildcheck.app.run import plan_run
from buildcheck.output.report.report_files import report_sheets
from buildcheck.output.report.template import report_template
for sheet in report_sheets(plan_run([Path("example_build"), *sorted(Path("tests/builds").iterdir())[:3]]).run(), False):
    print(sheet.text)
print(type(report_template().environment.loader).__name__)
"""
STALE = """
import json
from buildcheck.core.package_data import compiled_template_dir
from buildcheck.output.report import template
path = compiled_template_dir() / "key.json"
good = path.read_text(encoding="utf-8")
key = json.loads(good)
for text in (good, "", "{}", json.dumps({**key, "jinja2": "3.0"}), json.dumps({**key, "report.md.j2": "x"}), None):
    path.unlink() if text is None else path.write_text(text, encoding="utf-8")
    template.report_template.cache_clear()
    print(type(template.report_template().environment.loader).__name__)
path.write_text(good, encoding="utf-8")
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel unpacked, as pip does it."""
    folder = tmp_path_factory.mktemp("wheel")
    wheel = next(WheelBuilder(str(ROOT)).build(directory=str(folder), versions=["standard"]))
    with zipfile.ZipFile(wheel) as opened:
        opened.extractall(folder / "site")
    return folder / "site"


def run(site: Path, code: str) -> str:
    call = [sys.executable, "-P", "-c", code]
    environment = {**os.environ, "PYTHONPATH": str(site)}
    done = subprocess.run(call, cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
    return done.stdout + done.stderr


def key(folder: Path) -> str:
    return key_of_rules(folder, DISK.yaml_files(folder))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(rules_dir(), tmp_path / "rules"))


def test_prepared_rules_are_the_parsed_rules():
    decoded = decode_rules(prepare_rules(), key(rules_dir()))
    assert decoded is not None
    assert tuple(decoded[rule] for rule in sorted(decoded)) == RULES
    for rule in RULES:
        shown = [repr(one).replace("mappingproxy({})", "{}") for one in (decoded[rule.id], rule)]
        assert shown[0] == shown[1], "1 is not 1.0, a tuple no list"


def test_prepared_rules_count_for_their_files_alone(folder):
    text = encode_rules(RULES, key(folder))
    assert decode_rules(text, key(folder)) is not None
    [first, *_] = DISK.yaml_files(folder)
    first.write_bytes(first.read_bytes() + b"\n")
    assert decode_rules(text, key(folder)) is None


def test_a_rule_file_that_moves_or_goes_makes_them_stale(folder):
    before = key(folder)
    [first, *_] = DISK.yaml_files(folder)
    first.rename(folder / "marks" / first.name)
    moved = key(folder)
    (folder / "marks" / first.name).unlink()
    assert before != moved != key(folder) != before


def test_a_wheel_with_and_without_prepared_rules_gives_the_same_bytes(installed):
    data = installed / "buildcheck" / "data" / "prepared_rules.json"
    outputs = run(installed, OUTPUTS)
    data.rename(data.with_suffix(".away"))
    assert run(installed, OUTPUTS) == outputs
    assert "mark-on-tip" in outputs
    data.with_suffix(".away").rename(data)


def test_a_wheel_with_damaged_data_or_none_parses_its_rules(installed):
    assert run(installed, DAMAGED).split() == ["True", *["False"] * 7]


def test_a_wheel_with_a_compiled_template_and_without_gives_the_same_reports(installed):
    folder = installed / "buildcheck" / "data" / "compiled_template"
    compiled = run(installed, REPORTS)
    folder.rename(folder.with_suffix(".away"))
    parsed = run(installed, REPORTS)
    folder.with_suffix(".away").rename(folder)
    assert compiled.splitlines()[-1] == "ModuleLoader"
    assert parsed == compiled.replace("ModuleLoader", "DictLoader")


def test_a_compiled_template_counts_for_its_text_and_its_jinja_alone(installed):
    assert run(installed, STALE).split() == ["ModuleLoader", *["DictLoader"] * 5]
