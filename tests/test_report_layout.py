"""The report as a renderer of GitHub's Markdown sees it: sections, tables that fit, one alert, size."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from history import replace
from markdown_it import MarkdownIt

from buildcheck.app.run import run
from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent
BUILDS = (ROOT / "example_build", *sorted((ROOT / "tests" / "builds").iterdir()))
SECTIONS = [
    "Errors in the files",
    "Blocking",
    "What to order",
    "Limits loosened",
    "Concessions",
    "To review (not blocking)",
    "Required later",
    "Next at the bench",
    "Valves",
    "Cautions",
    "Method and sources",
]
MOST_COLUMNS = 5


def _reported(folder: Path) -> str:
    main(["report", str(folder)])
    return (folder / "REPORT.md").read_text(encoding="utf-8")


def _copied(source: Path, tmp_path: Path) -> Path:
    return shutil.copytree(source, tmp_path / source.name, ignore=shutil.ignore_patterns("REPORT.md"))


@pytest.fixture(params=BUILDS, ids=lambda folder: folder.name, scope="module")
def report(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> str:
    return _reported(_copied(request.param, tmp_path_factory.mktemp("report")))


@pytest.fixture
def worst(tmp_path: Path) -> Path:
    """The demo with a failure, a hard limit and a soft one loosened, a concession, and a file less."""
    build = _copied(ROOT / "example_build", tmp_path)
    replace(build / "marks.yaml", "{from: 0.145 in, to: 0.172 in}", "{from: 0.005 in, to: 0.032 in}")
    replace(build / "build.yaml", "at_least: 0.080 in", "at_least: 0.040 in")
    with (build / "build.yaml").open("a", encoding="utf-8") as file:
        file.write("  length-spread: {at_most: 0.2 in, because: a race engine}\n")
    granted = "up_to: 0.2 in, because: dressed, accepted_by: boss"
    conceded = f"- {{rule: mark-near-centre, cylinder: 1, valve: intake, {granted}}}\n"
    (build / "concessions.yaml").write_text(conceded, encoding="utf-8")
    (build / "clearances.yaml").unlink()
    return build


def test_size(report: str) -> None:
    assert len(report.encode()) < 20_500
    assert report.count("\n") < 400


def test_headings_carry_no_figures_so_that_their_anchors_stay(report: str) -> None:
    found = re.findall(r"^## (.+)$", report, re.MULTILINE)
    assert found == [section for section in SECTIONS if section in found]
    assert {"What to order", "Cautions", "Method and sources"} <= set(found)


def test_an_order_that_must_wait_says_so(worst: Path) -> None:
    main(["report", str(worst)])
    report = (worst / "REPORT.md").read_text(encoding="utf-8")
    assert "## What to order\n\n**Do not order yet:** correct what blocks first." in report


def test_a_value_that_does_not_say_how_sure_it_is_is_reported(worst: Path) -> None:
    main(["report", str(worst)])
    report = (worst / "REPORT.md").read_text(encoding="utf-8")
    assert re.search(r"^\| quench \| 1 \| 0\.0472 in, no uncertainty stated;", report, re.MULTILINE)


def test_one_alert(report: str) -> None:
    assert len(re.findall(r"^> \[!", report, re.MULTILINE)) == 1


def test_every_table_is_read_whole_and_fits_a_narrow_screen(report: str) -> None:
    tokens = MarkdownIt("gfm-like").parse(report)
    rows = sum(token.type == "tr_open" for token in tokens)
    rules = [line for line in report.splitlines() if re.fullmatch(r"\|(---\|)+", line)]
    assert rows == sum(line.startswith("|") for line in report.splitlines()) - len(rules)
    assert max(line.count("---") for line in rules) <= MOST_COLUMNS


def test_no_html_but_folds(report: str) -> None:
    tokens = MarkdownIt("gfm-like", {"html": True}).parse(report)
    html = [part for token in tokens if token.type == "html_block" for part in re.findall(r"</?(\w+)", token.content)]
    assert set(html) == {"details", "summary"}
    assert html.count("details") % 2 == 0


def test_what_blocks_comes_first_and_is_never_folded(worst: Path) -> None:
    text = _reported(worst)
    found = re.findall(r"^## (.+)$", text, re.MULTILINE)
    assert found[0] == "Blocking"
    first = text.partition("## Blocking\n\n")[2].partition("\n\n**2. ")[0].splitlines()
    title = "**1. cylinder 1 intake: Distance from the mark to the valve tip edge**"
    assert first[0] == f"{title} (failed, [marks.yaml:21](marks.yaml#L21))"
    assert first[2:5] == [
        "- 0.0050 in ± 0.0030 in (edge nearer the pivot)",
        "- minimum 0.0300 in",
        "- short by 0.0250 in",
    ]
    assert first[5].startswith("- **Do:** Check the entry, then ink the valve tip and take the mark again.")
    assert "mark    |###             :               |" in first
    assert "limits  |   [.......=====:=====......]   |" in first


def test_nothing_of_a_blocking_cause_is_shown_again_below(worst: Path) -> None:
    text = _reported(worst)
    blocking, _, rest = text.partition("## What to order")
    review = rest.partition("## To review (not blocking)")[2].partition("\n## ")[0]
    named = set(re.findall(r"^- Rules: (.+)$", blocking, re.MULTILINE)[0].split(", "))
    assert "mark-position-hint" in named
    assert not named & set(re.findall(r"\*\*([\w-]+)\*\*, cylinder 1 intake", review))


def test_no_pushrod_is_shown_while_something_blocks(worst: Path) -> None:
    table = _reported(worst).partition("## Valves")[2].partition("\n\n<details>")[0]
    rows = [line.split(" | ") for line in table.splitlines() if re.match(r"\| \d ", line)]
    assert [cells[2:4] for cells in rows] == [["", ""]] * 12
    assert rows[0][1] == "", "the mark of cylinder 1 intake fails"
    assert rows[1][1].startswith("9.4")


def test_what_does_not_block_is_counted_apart(worst: Path, tmp_path: Path) -> None:
    found = run([worst]).builds[0].results
    due = [one for one in found if one.due_now and one.concession is None and one.kind in ("fail", "open")]
    free = sum(not one.blocks for one in due)
    assert 0 < free < len(due)
    failed, undecided = ([one.blocks for one in due if one.kind == kind] for kind in ("fail", "open"))
    counts = (
        f" passed, {len(failed)} failed ({sum(failed)} block), {len(undecided)} undecided ({sum(undecided)} block), "
        "1 conceded;"
    )
    assert counts in _reported(worst)


def test_loosened_limits_hard_ones_foremost(worst: Path) -> None:
    section = _reported(worst).partition("## Limits loosened")[2].partition("##")[0]
    assert re.findall(r"^\| \*\*([\w-]+)\*\*", section, re.MULTILINE) == ["coil-bind-clearance", "length-spread"]
    assert "at least 0.060 in → **0.040 in**" in section


def test_concessions_tell_by_whom_and_up_to_what(worst: Path) -> None:
    section = _reported(worst).partition("## Concessions")[2].partition("##")[0]
    assert "| up to 0.2 in by boss: dressed |" in section


def test_an_open_row_says_which_reading_would_tell(tmp_path: Path) -> None:
    build = _copied(ROOT / "example_build", tmp_path)
    replace(build / "build.yaml", "at_least: 0.080 in", "at_least: 0.100 in")
    cause = _reported(build).partition("Coil-bind clearance at full lift** (undecided")[2].partition("\n- Rules:")[0]
    assert "- short by 0.0056 in\n" in cause
    assert "A reading good to 0.0056 in would decide it." in cause


def test_the_order_states_convention_spares_and_what_is_assumed(report: str) -> None:
    section = report.partition("## What to order")[2].partition("##")[0]
    rows = [line for line in section.splitlines() if re.match(r"\| \d+ \+ \d+ \| \*\*", line)]
    assert rows
    assert all(re.search(r"gauge, hole |overall|full ball", row) for row in rows)


def test_rules_that_lack_the_same_stand_in_one_row(tmp_path: Path) -> None:
    build = _copied(ROOT / "example_build", tmp_path)
    (build / "clearances.yaml").unlink()
    replace(build / "marks.yaml", "{from: 0.145 in, to: 0.172 in}", "{from: 0.045 in, to: 0.172 in}")
    text = _reported(build)
    assert len(text.encode()) < 20_500
    (rules,) = [line for line in text.splitlines() if line.startswith("- Rules:") and "geometry-at-mid-lift" in line]
    assert "off-centre-at-narrowest" in rules


def test_the_counts_at_the_top_add_up(report: str) -> None:
    [counts] = re.findall(r"^> (\d+) checks due: (.*?)[;(]", report, re.MULTILINE)
    assert int(counts[0]) == sum(map(int, re.findall(r"(\d+) (?:passed|failed|undecided|conceded)", counts[1])))


def test_what_to_do_now_is_the_second_line_of_the_opening(report: str) -> None:
    assert re.search(r"^> \*\*.*\n>\n> \*\*Now:\*\* \S", report, re.MULTILINE)


def test_no_order_is_shown_while_something_blocks(worst: Path) -> None:
    main(["report", str(worst)])
    blocked = (worst / "REPORT.md").read_text(encoding="utf-8")
    assert "| Pushrods + spares |" not in blocked


def test_what_a_reviewer_must_read_of_the_demo_is_short() -> None:
    text = (ROOT / "example_build" / "REPORT.md").read_text(encoding="utf-8")
    unfolded = re.sub(r"<details>.*?</details>", "", text, flags=re.DOTALL)
    assert len(unfolded.partition("## Cautions")[0]) <= 4000
