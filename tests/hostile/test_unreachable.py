"""Folders that cannot be looked into, links that lead nowhere, names that name nothing: reported, never passed over."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from attacked import Call, Ended

BUILD = "name: Eider\nstage: planning\npurpose: to be broken\n"
LESS = ("setpriv", "--bounding-set", "-dac_override,-dac_read_search")
"""Takes from root what no other user may: to look into any folder."""

CALLED = """
import io, json, sys
from contextlib import redirect_stderr, redirect_stdout
from buildcheck.cli.main import main
for words in json.loads(sys.argv[1]):
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()) as err:
        code = main(words)
    print(json.dumps([code, err.getvalue()]))
"""
"""Several calls in one process, which ends by itself only if none of them crashes."""

Outcome = Callable[[list[list[str]]], list[tuple[int, str]]]


def a_build(folder: Path) -> Path:
    folder.mkdir(parents=True)
    (folder / "build.yaml").write_text(BUILD)
    return folder


@pytest.fixture(scope="module")
def committed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two builds, and a folder of rules with one in a folder below."""
    folder = tmp_path_factory.mktemp("committed")
    for name in ("dunlin", "eider"):
        a_build(folder / "engines" / name)
    rules = folder / "shop" / "deep"
    rules.mkdir(parents=True)
    (rules / "cap.yaml").write_text(
        "id: cap\ntitle: C\nfor_each: valve\nquantity: valve_lift\nat_most: 0.5 in\nwhy: so\nfix: that\nsource: ours\n"
        "examples: [{given: {valve_lift: 0.4 in}, gives: pass}, {given: {valve_lift: 0.6 in}, gives: fail}]\n"
    )
    (folder / "buildcheck.yaml").write_text("rules: [shop]\n")
    subprocess.run(["git", "init", "-q", str(folder)], check=True)
    subprocess.run(["git", "add", "--all"], cwd=folder, check=True)
    author = ("-c", "user.name=a", "-c", "user.email=a@example.invalid")
    subprocess.run(["git", *author, "commit", "-qm", "all"], cwd=folder, check=True)
    return folder


@pytest.fixture
def shop(committed: Path, tmp_path: Path) -> Path:
    shutil.copytree(committed, tmp_path, dirs_exist_ok=True)
    return tmp_path


@pytest.fixture
def user(shop: Path) -> Outcome:
    """Calls the command as one who may not look everywhere."""
    less = LESS if os.geteuid() == 0 else ()
    if less and not shutil.which(less[0]):
        pytest.skip("root can look into every folder")

    def run(calls: list[list[str]]) -> list[tuple[int, str]]:
        command = [*less, sys.executable, "-c", CALLED, json.dumps(calls)]
        done = subprocess.run(command, cwd=shop, stdout=subprocess.PIPE, text=True, check=True)
        return [(code, errors) for code, errors in map(json.loads, done.stdout.splitlines())]

    return run


CALLS = [
    ["check"], ["check", "engines"], ["check", "--tracked"], ["check", "--format", "json"], ["report"],
    ["report", "--check"], ["report", "--index"], ["compare", "HEAD"], ["schemas", "--check"],
]  # fmt: skip


@pytest.mark.parametrize(
    ("folder", "calls"),
    [("engines/eider", CALLS), ("shop/deep", [["check"], ["report"], ["compare", "HEAD"], ["rules"]])],
)
def test_a_folder_that_cannot_be_looked_into_is_reported(
    folder: str, calls: list[list[str]], user: Outcome, shop: Path
) -> None:
    (shop / folder).chmod(0)
    try:
        found = user(calls)
    finally:
        (shop / folder).chmod(0o755)
    assert len(found) == len(calls)
    for words, (code, errors) in zip(calls, found, strict=True):
        assert code == 2, words
        assert f"{folder}: Permission denied\n" in errors, words


@pytest.mark.parametrize("pattern", ["./engines/*", "engines//*", "engines/./eider", "engines/*/", "engines/eider//"])
def test_a_pattern_may_be_written_with_more_slashes_and_dots(pattern: str, shop: Path, call: Call) -> None:
    (shop / "buildcheck.yaml").write_text(f"builds: ['{pattern}']\n")
    assert "engines/eider/build.yaml" in call("check").out


@pytest.mark.parametrize("pattern", ["/engines/*", "../engines/*", "engines/../engines/*", "engines/.."])
def test_a_pattern_that_can_never_match_is_reported_at_its_line(pattern: str, shop: Path, call: Call) -> None:
    (shop / "buildcheck.yaml").write_text(f"note: ours\nbuilds:\n  - '{pattern}'\n")
    ended = call("check")
    assert (ended.code, [error.split(" error:")[0] for error in ended.errors]) == (2, ["buildcheck.yaml:3:5:"])
    assert "no / in front and no .." in ended.out


@pytest.mark.parametrize("target", ["/nowhere", "b"])
def test_a_link_to_nothing_does_not_stand_for_its_folder(target: str, shop: Path, call: Call) -> None:
    (shop / "engines/b").symlink_to(target)
    for command in ("check", "report", "advise", "plan"):
        ended = call(command, "engines/b")
        assert (ended.code, ended.out, ended.err) == (2, "", "buildcheck: engines/b does not exist\n"), command


def test_a_linked_folder_that_is_not_walked_into_is_reported(shop: Path, call: Call) -> None:
    a_build(shop / "elsewhere" / "teal")
    (shop / "engines/teal").symlink_to("../elsewhere/teal")
    result = "buildcheck: engines/teal is a link to a build, and not checked: name it\n"
    assert (call("check", "engines").code, call("check", "engines").err) == (0, result)
    assert call("check").err == ""
    assert "engines/teal/build.yaml" in call("check", "engines/teal").out
    (shop / "buildcheck.yaml").write_text("builds: [engines/eider]\n")
    assert "engines/teal" not in call("check", "engines").err


LOOPS = [
    (["check", "loop/x"], "loop/x does not exist"), (["check", "loop"], "loop does not exist"),
    (["compare", "HEAD", "loop"], "no build at or under loop"), (["start", "loop"], "loop is not a folder"),
    (["start", "loop/x"], "loop"), (["explain", "preload", "loop"], "loop does not exist"),
    (["schemas", "loop"], "loop is not a folder"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "result"), LOOPS, ids=[" ".join(words) for words, _ in LOOPS])
def test_a_link_to_itself_is_a_wrong_argument(words: list[str], result: str, shop: Path, call: Call) -> None:
    (shop / "loop").symlink_to("loop")
    ended = call(*words)
    assert (ended.code, ended.out) == (2, "")
    assert ended.err.startswith(f"buildcheck: {result}")


def places(ended: Ended) -> list[str]:
    return sorted(error.split(" error:")[0] for error in ended.errors)


NAMES = {"loop": "loop", "nul": r'"a\0b"', "long": "x" * 300, "long below": f"shop/{'x' * 300}", "nowhere": "nowhere"}


@pytest.mark.parametrize("name", NAMES)
def test_a_rule_folder_that_is_none_is_reported_at_its_line(name: str, shop: Path, call: Call) -> None:
    (shop / "loop").symlink_to("loop")
    (shop / "buildcheck.yaml").write_text(f"rules:\n  - shop\n  - {NAMES[name]}\n")
    for words in (["check"], ["report", "--check"], ["rules"], ["compare", "HEAD"]):
        ended = call(*words)
        assert ended.code == 2, words
        assert "buildcheck.yaml:3:5" in ended.out + ended.err


@pytest.mark.parametrize(
    "name", [f"parts/{'x' * 300}.yaml", f"{'x' * 5000}.yaml", "parts/loop.yaml", "loop/a.yaml"], ids=range(4)
)
def test_a_part_that_is_none_is_reported_and_others_are_judged(name: str, shop: Path, call: Call) -> None:
    (shop / "parts").mkdir()
    (shop / "parts/loop.yaml").symlink_to("loop.yaml")
    (shop / "loop").symlink_to("loop")
    (shop / "engines/eider/heads.yaml").write_text(f"note: ours\nsprings:\n  intake: {{uses: {name}}}\n")
    ended = call("check")
    place = "parts/loop.yaml:1:1:" if "parts/loop" in name else "engines/eider/heads.yaml:3:18:"
    assert (ended.code, "engines/dunlin/build.yaml:1:1: note" in ended.out, place in places(ended)) == (2, True, True)


def test_a_rule_that_links_to_itself_is_reported_of_a_commit_too(shop: Path, call: Call) -> None:
    (shop / "shop/x.yaml").symlink_to("x.yaml")
    for option in ("--touched", "--tracked"):
        ended = call("check", option)
        assert (ended.code, "shop/x.yaml:1:1:" in places(ended)) == (2, True)


@pytest.mark.parametrize("settings", [True, False])
def test_a_comparison_keeps_to_one_repository(settings: bool, shop: Path, call: Call) -> None:
    other = a_build(shop / "other" / "teal").parent
    subprocess.run(["git", "init", "-q", str(other)], check=True)
    if settings:
        (other / "buildcheck.yaml").write_text("note: theirs\n")
    for path in ("other", "other/teal", "other/gone", ".."):
        ended = call("compare", "HEAD", path)
        result = f"buildcheck: {path} is not in the repository {shop.name}: compare it in its own\n"
        assert (ended.code, ended.out, ended.err) == (2, "", result)
    assert call("compare", "HEAD", "engines").code == 0


def odd_schemas(folder: Path) -> Path:
    """A folder of exported schemas in which nothing is a file to be read."""
    schemas = folder / ".schemas"
    schemas.mkdir()
    (schemas / "marks.schema.json").symlink_to("/dev/zero")
    os.mkfifo(schemas / "cam.schema.json")
    (schemas / "heads.schema.json").mkdir()
    (schemas / "block.schema.json").symlink_to("block.schema.json")
    with (schemas / "build.schema.json").open("wb") as file:
        file.truncate(50_000_000_000)
    return schemas


def test_schemas_that_cannot_be_read_are_stale_and_no_more(shop: Path, call: Call) -> None:
    odd_schemas(shop)
    ended = call("check")
    assert (ended.code, ended.err) == (0, "buildcheck: ./.schemas is stale: run 'buildcheck schemas .'\n")
    stale = [error.split(":")[0] for error in call("schemas", "--check").errors]
    assert stale == [f".schemas/{name}.schema.json" for name in ("block", "build", "cam", "heads", "marks")]
    (shop / ".schemas/heads.schema.json").rmdir()
    assert (call("schemas").code, call("schemas", "--check").code, call("check").err) == (0, 0, "")


def test_schemas_are_not_written_through_a_link(shop: Path, call: Call) -> None:
    (shop / "elsewhere").mkdir()
    (shop / "engines/eider/.schemas").symlink_to("../../elsewhere")
    for words in (("schemas", "engines/eider"), ("start", "engines/eider")):
        ended = call(*words)
        assert (ended.code, ended.out, ".schemas" in ended.err) == (2, "", True)
    assert list((shop / "elsewhere").iterdir()) == []


def test_a_report_does_not_wait_for_a_part(shop: Path, call: Call) -> None:
    (shop / "parts").mkdir()
    os.mkfifo(shop / "parts/pipe.yaml")
    (shop / "parts/loop.yaml").symlink_to("loop.yaml")
    with (shop / "parts/huge.yaml").open("wb") as file:
        file.truncate(50_000_000_000)
    uses = "".join(
        f"  {valve}: {{uses: parts/{name}.yaml}}\n" for valve, name in (("intake", "pipe"), ("exhaust", "huge"))
    )
    (shop / "engines/eider/heads.yaml").write_text(f"springs:\n{uses}gasket: {{uses: parts/loop.yaml}}\n")
    ended = call("report", "engines/eider")
    assert (ended.code, places(ended)) == (2, [f"parts/{name}.yaml:1:1:" for name in ("huge", "loop", "pipe")])
    made_from = (shop / "engines/eider/REPORT.md").read_text().partition("Made from: ")[2].splitlines()[0]
    assert "engines/" not in made_from
    assert all(f"parts/{name}.yaml" in made_from for name in ("huge", "loop", "pipe"))
