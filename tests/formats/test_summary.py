"""The job's summary, rendered as GitHub Flavored Markdown."""

from __future__ import annotations

from pathlib import Path

from markdown_it import MarkdownIt
from markdown_it.token import Token
from repositories import edit, findings_for, lay, one, written

from buildcheck.app.run import Run
from buildcheck.core.escape import one_line
from buildcheck.output import summary
from buildcheck.output.summary import ROOM

write = written(summary)

GFM = MarkdownIt("gfm-like")


def rows(run: Run) -> list[list[str]]:
    """Cells of all table rows, as text."""
    found: list[list[str]] = []
    for token in GFM.parse(write(run)):
        if token.type == "tr_open":
            found.append([])
        if token.type == "inline" and found:
            found[-1].append("".join(child.content for child in token.children or []).replace("\u200b", ""))
    return found


def parts(run: Run) -> list[Token]:
    return [child for token in GFM.parse(write(run)) for child in [token, *(token.children or [])]]


def test_there_is_a_row_for_each_build_and_finding(done: Run) -> None:
    builds = [row for row in rows(done) if len(row) == 7]
    findings = [row for row in rows(done) if len(row) == 4]
    assert len(builds) == 1 + len(done.builds)
    assert len(findings) == 1 + sum(one.due for one in findings_for(done, together=True))
    assert len(builds) + len(findings) == len(rows(done))


def test_failures_come_first(done: Run) -> None:
    levels = [row[0] for row in rows(done) if len(row) == 4][1:]
    assert levels == sorted(levels, key=["error", "warning", "note"].index)


def test_harm_is_shown_as_written_and_is_no_markup(done: Run) -> None:
    title = one_line(done.context.rules["harm"].title)[1:]
    assert [row for row in rows(done) if any(title in cell for cell in row)]
    assert not [part for part in parts(done) if part.type in ("html_inline", "html_block", "link_open", "image")]


def test_the_verdict_and_the_order_are_reported(shipped: Run) -> None:
    text = write(shipped)
    ordering = [checked for checked in shipped.builds if checked.options.stage == "ordering"]
    assert text.count("Ready to order: ") == len(ordering)
    assert text.count("Closed, all rules met: ") == len(shipped.builds) - len(ordering)


def test_it_is_cut_before_it_is_too_long_to_be_shown(tmp_path: Path) -> None:
    build = lay(tmp_path) / "engines" / "green"
    wide = "x" * 40
    edit(build / "cam.yaml", "lifter:", "".join(f"{wide}{number}: 1\n" for number in range(300)) + "lifter:")
    run, builds = one(build), 15
    parts = [summary.render_build(run.context, run.builds[0])] * builds
    text = "".join(summary.render_document(run.context, run.problems, parts))
    kept = text.count("| error |")
    assert ROOM - 1000 < len(text.encode()) < ROOM + 100
    assert text.endswith(f"\n{builds * len(findings_for(run)) - kept} findings more: see the step's log.\n")


def test_a_build_s_row_counts_what_blocks_warns_is_not_due_and_passes(done: Run) -> None:
    own = [row for row in rows(done) if len(row) == 7][1:]
    for checked, row in zip(done.builds, own, strict=True):
        assert row[1] == checked.options.stage
        blocking, warnings, later, passed = map(int, row[3:])
        assert blocking == sum(result.blocks for result in checked.results) + len(checked.problems)
        assert (blocking == 0) == (checked.exit_code == 0)
        assert warnings <= sum(result.kind == "fail" and result.level == "warning" for result in checked.results)
        assert later == sum(not result.due_now and result.kind in ("fail", "open") for result in checked.results)
        assert passed == sum(result.kind == "pass" for result in checked.results)


def test_a_ready_build_counts_nothing_as_blocking(shipped: Run) -> None:
    assert {row[3] for row in rows(shipped) if len(row) == 7} == {"Blocking", "0"}


def test_a_finding_s_row_shows_level_place_and_rule(done: Run) -> None:
    own = {(row[0], row[1], row[3]) for row in rows(done) if len(row) == 4}
    assert own - {("Level", "Place", "Rule")} == {
        (one.level, f"{one.places[0].file}:{one.places[0].line}", one.rule)
        for one in findings_for(done, together=True)
        if one.due
    }


def test_where_the_repository_cannot_be_read_no_build_was_judged(tmp_path: Path) -> None:
    (tmp_path / "buildcheck.yaml").write_text("rules: [gone]\n")
    (tmp_path / "build.yaml").write_text("name: X\nstage: planning\n")
    text = write(one(tmp_path))
    assert "\nNo build was judged.\n\n| Level |" in text
    assert "| error | buildcheck.yaml:1 |" in text
