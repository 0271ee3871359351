"""Git as a second witness: a commit that changes a part under readings that stay as they are is blocked."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from history import ROOT, commit, git, replace

from buildcheck.app.build_check import facts_as_read
from buildcheck.build.build_folder import read_build
from buildcheck.build.changed_trials import changed_trials
from buildcheck.build.reading_history import changed_parts
from buildcheck.cli.main import main
from buildcheck.yamlio.documents import plain, read

ARM = "valve_arm: 1.550 in", "valve_arm: 1.450 in"


@pytest.fixture(scope="module")
def origin(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A repository with the demo as its one build."""
    top = tmp_path_factory.mktemp("origin")
    git(top, "init", "--quiet", "--initial-branch=main")
    shutil.copytree(ROOT / "example_build", top / "engine")
    commit(top, "measured")
    return top


@pytest.fixture
def engine(origin: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The build in a copy of the repository, which is the working directory."""
    shutil.copytree(origin, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path / "engine"


def hook(top: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """Exit code and text of what the hook runs, with everything staged."""
    git(top, "add", "--all")
    code = main(["check", "--touched"])
    return code, capsys.readouterr().out


def swap(engine: Path) -> None:
    replace(engine / "rockers.yaml", *ARM)


def test_another_rocker_under_the_same_readings_is_blocked_with_three_ways_out(
    engine: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    swap(engine)
    code, out = hook(engine.parent, capsys)
    assert code == 2
    assert "engine/rockers.yaml:" in out
    assert "changed from 1.550 in to 1.450 in, but readings of 8 valves and rocker_to_retainer, " in out
    for way in ("add states with the old and the new value", "give the trials `void`", "record BUILD --correct"):
        assert way in out


def test_a_build_at_the_top_of_its_repository_is_held_to_it_as_well(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    top = tmp_path / "top"
    shutil.copytree(ROOT / "example_build", top)
    git(top, "init", "--quiet", "--initial-branch=main")
    commit(top, "measured")
    monkeypatch.chdir(top)
    swap(top)
    code, out = hook(top, capsys)
    assert code == 2
    assert "changed from 1.550 in to 1.450 in, but readings of 8 valves" in out


def reformat(engine: Path) -> None:
    """Other spacing, comments and units, the same readings."""
    marks = engine / "marks.yaml"
    text = marks.read_text(encoding="utf-8").replace(
        "mark: {from: 0.145 in, to: 0.172 in}", "mark: {to: 0.172 in, from: 3.683 mm}"
    )
    marks.write_text("# tidied\n" + text.replace("note: Worked up", "note: worked up"), encoding="utf-8")


def move(engine: Path) -> None:
    git(engine.parent, "mv", "engine", "renamed")


@pytest.mark.parametrize("beside", [reformat, move])
def test_neither_reformatting_nor_a_renamed_folder_hides_it(
    engine: Path, capsys: pytest.CaptureFixture[str], beside: object
) -> None:
    swap(engine)
    assert callable(beside)
    beside(engine)
    code, out = hook(engine.parent, capsys)
    assert (code, "stay as they are" in out) == (2, True)


def with_states(engine: Path) -> None:
    marks = engine / "marks.yaml"
    text = marks.read_text(encoding="utf-8")
    arms = {"then": "1.550 in", "now": "1.450 in"}
    both = "".join(f"  - {{name: {name}, parts: {{rockers.valve_arm: {arm}}}}}\n" for name, arm in arms.items())
    text = re.sub(r"(\n    valve: \w+\n)", r"\1    state: then\n", text)
    marks.write_text(text.replace("\nvalves:", f"\nstates:\n{both}valves:"), encoding="utf-8")
    replace(engine / "clearances.yaml", "\nintake:", "\nstate: then\nintake:")


def with_states_by_command(engine: Path) -> None:
    words = ("1/intake", "--length", "9.41", "--mark", ".15-.18", "--state", "other rockers")
    assert main(["record", str(engine), *words]) == 0


def corrected(engine: Path) -> None:
    one = "\nstates:\n  - {name: measured, parts: {rockers.valve_arm: 1.450 in}}\nvalves:"
    replace(engine / "marks.yaml", "\nvalves:", one)


def corrected_by_command(engine: Path) -> None:
    assert main(["record", str(engine), "--correct", "rockers.valve_arm"]) == 0


def voided(engine: Path) -> None:
    marks = engine / "marks.yaml"
    void = "void: other rockers"
    text = re.sub(r"- (length|turns):", rf"- {void}\n        \1:", marks.read_text(encoding="utf-8"))
    marks.write_text(re.sub(r"- \{(length|turns):", rf"- {{{void}, \1:", text), encoding="utf-8")
    (engine / "clearances.yaml").unlink()


@pytest.mark.parametrize("resolved", [with_states, with_states_by_command, corrected, corrected_by_command, voided])
def test_each_way_resolves_it(engine: Path, capsys: pytest.CaptureFixture[str], resolved: object) -> None:
    swap(engine)
    assert callable(resolved)
    resolved(engine)
    _, out = hook(engine.parent, capsys)
    assert "stay as they are" not in out


def test_a_new_state_takes_the_parts_of_the_last_commit_for_earlier_readings(
    engine: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody has to write the old value by hand: git knows it."""
    swap(engine)
    with_states_by_command(engine)
    assert "state 'as measured' has its parts and all earlier readings" in capsys.readouterr().out
    marks = plain(read((engine / "marks.yaml").read_bytes(), "").root)
    arms = [(state["name"], state["parts"]["rockers.valve_arm"]) for state in marks["states"]]
    assert arms == [("as measured", "1.550 in"), ("other rockers", "1.450 in")]
    assert {entry["state"] for entry in marks["valves"]} == {"as measured"}
    assert main(["check", "engine"]) == 1
    assert "cylinders 2, 3, 6: readings void, taken with a pivot-to-tip length of 1.550 in" in capsys.readouterr().out


def test_clearances_that_stay_are_blocked_as_well(engine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Another lobe lift voids clearances; the one that is read with the valve closed still applies."""
    voided(engine)
    git(engine.parent, "checkout", "--quiet", "HEAD", "engine/clearances.yaml")
    replace(engine / "cam.yaml", "lobe_lift: 0.280 in", "lobe_lift: 0.285 in")
    code, out = hook(engine.parent, capsys)
    assert code == 2
    names = "rocker_to_retainer, rocker_to_stud, pushrod_to_head, piston_to_valve"
    assert f"lobe lift changed from 0.2800 in to 0.2850 in, but {names} stay as they are" in out


MOTION = """\
valves:
  - cylinder: 1
    valve: intake
    at: {at}
    readings:
      - {{crank: 360 deg, lift: 0.0235 in}}
      - {{crank: 365 deg, lift: 0.0380 in, drop: 0.1395 in}}
"""
LOBE = ("cam.yaml", "lobe_lift: 0.280 in", "lobe_lift: 0.285 in")
RATIO = ("rockers.yaml", "ratio: 1.6", "ratio: 1.7")
GASKET = ("heads.yaml", "{thickness: 1.07 mm", "{thickness: 1.60 mm")


def only_motion(engine: Path, at: str) -> None:
    """Readings of motion as the only ones of the build, committed."""
    voided(engine)
    (engine / "motion.yaml").write_text(MOTION.format(at=at), encoding="utf-8")
    commit(engine.parent, "motion")


@pytest.mark.parametrize(
    ("at", "edit", "stays"),
    [("valve", LOBE, True), ("lifter", LOBE, True), ("valve", RATIO, True), ("lifter", RATIO, False),
     ("valve", GASKET, True), ("lifter", ("rockers.yaml", *ARM), False)],
)  # fmt: skip
def test_readings_of_motion_that_stay_are_blocked(
    engine: Path, capsys: pytest.CaptureFixture[str], at: str, edit: tuple[str, str, str], stays: bool
) -> None:
    only_motion(engine, at)
    replace(engine / edit[0], *edit[1:])
    code, out = hook(engine.parent, capsys)
    assert ("but readings of motion of 1 valve stay as they are" in out) == stays
    assert code == 2 if stays else "stay as they are" not in out


def test_motion_read_again_or_reformatted(engine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    only_motion(engine, "valve")
    replace(engine / LOBE[0], *LOBE[1:])
    motion = engine / "motion.yaml"
    replace(motion, "{crank: 360 deg, lift: 0.0235 in}", "{lift: 0.5969 mm, crank: 360.0 deg, note: same}")
    assert "readings of motion of 1 valve stay" in hook(engine.parent, capsys)[1]
    replace(motion, "0.0380 in", "0.0390 in")
    assert "stay as they are" not in hook(engine.parent, capsys)[1]


def test_compare_names_readings_of_motion_that_stay_in_its_first_lines(
    engine: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    only_motion(engine, "valve")
    replace(engine / LOBE[0], *LOBE[1:])
    main(["compare", "HEAD"])
    first = capsys.readouterr().out.splitlines()[:3]
    assert any("readings unchanged: motion at cylinder 1 intake" in line for line in first), first


def test_compare_lists_a_value_that_was_corrected_in_a_state(engine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    corrected(engine)
    swap(engine)
    commit(engine.parent, "states")
    for name in ("rockers.yaml", "marks.yaml"):
        replace(engine / name, "valve_arm: 1.450 in", "valve_arm: 1.350 in")
    assert main(["compare", "HEAD", "--strict"]) == 1
    assert (
        "pivot-to-tip length: 1.450 in → 1.350 in, corrected in state 'measured'; readings" in capsys.readouterr().out
    )


def test_compare_lists_a_first_state_that_gives_another_value_than_the_file_had(
    engine: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The typing error that --correct is for, and the swapped rocker that it must not hide."""
    swap(engine)
    corrected_by_command(engine)
    capsys.readouterr()
    assert main(["compare", "HEAD", "--strict"]) == 1
    first = capsys.readouterr().out.splitlines()[:3]
    assert any("1.550 in → 1.450 in, corrected in state 'as measured'; readings unchanged" in line for line in first)


@pytest.mark.parametrize(("file", "indent"), [("marks.yaml", "    "), ("clearances.yaml", "")])
def test_compare_lists_readings_that_were_moved_to_a_later_state(
    engine: Path, capsys: pytest.CaptureFixture[str], file: str, indent: str
) -> None:
    swap(engine)
    with_states(engine)
    commit(engine.parent, "swapped")
    replace(engine / file, f"{indent}state: then", f"{indent}state: now")
    assert main(["compare", "HEAD", "--strict"]) == 1
    assert "1.550 in → 1.450 in, corrected in state 'now'; readings unchanged" in capsys.readouterr().out


def test_a_reading_that_repeats_an_earlier_one_is_no_correction(
    engine: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    swap(engine)
    with_states(engine)
    commit(engine.parent, "swapped")
    trial = "{length: 9.4210 in, mark: {from: 0.137 in, to: 0.169 in}, shut_at: 0.145 in, open_at: 0.144 in}"
    replace(engine / "marks.yaml", f"      - {trial}\n", f"      - {trial}\n      - {trial[:-1]}, state: now}}\n")
    assert main(["compare", "HEAD", "--strict"]) == 0
    assert "corrected" not in capsys.readouterr().out


def test_a_state_that_is_renamed_is_no_correction(engine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    swap(engine)
    with_states(engine)
    commit(engine.parent, "swapped")
    for file in ("marks.yaml", "clearances.yaml"):
        text = (engine / file).read_text(encoding="utf-8")
        (engine / file).write_text(re.sub(r"(state|name): then", r"\1: before", text), encoding="utf-8")
    assert main(["compare", "HEAD", "--strict"]) == 0
    assert "corrected" not in capsys.readouterr().out


def stated(engine: Path) -> None:
    """The demo with one state, committed: its readings belong to an arm of 1.550 in."""
    one = "\nstates:\n  - {name: measured, parts: {rockers.valve_arm: 1.550 in}}\nvalves:"
    replace(engine / "marks.yaml", "\nvalves:", one)
    commit(engine.parent, "stated")


def rebase(engine: Path) -> None:
    top = engine.parent
    git(top, "checkout", "--quiet", "-b", "swap")
    git(top, "commit", "--quiet", "--all", "--message", "swap")
    git(top, "checkout", "--quiet", "main")
    (top / "readme.txt").write_text("more\n", encoding="utf-8")
    commit(top, "other-work")
    git(top, "rebase", "--quiet", "main", "swap")


def squash(engine: Path) -> None:
    top = engine.parent
    shutil.rmtree(top / ".git")
    git(top, "init", "--quiet", "--initial-branch=main")
    commit(top, "all-of-it")


@pytest.mark.parametrize("beside", [move, rebase, reformat, squash])
def test_states_find_a_swap_whatever_git_did(engine: Path, capsys: pytest.CaptureFixture[str], beside: object) -> None:
    stated(engine)
    swap(engine)
    assert callable(beside)
    beside(engine)
    assert main(["check", "."]) == 2
    assert "pivot-to-tip length is 1.450 in in its own file and 1.550 in in state 'measured'" in capsys.readouterr().out


def test_a_part_that_no_reading_depends_on_may_change(engine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    replace(engine / "heads.yaml", "chamber_volume: 78 cc", "chamber_volume: 77 cc")
    code, out = hook(engine.parent, capsys)
    assert (code, "stay as they are" in out) == (0, False)


def test_one_squashed_commit_claims_nothing(engine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    top = engine.parent
    swap(engine)
    shutil.rmtree(top / ".git")
    git(top, "init", "--quiet", "--initial-branch=main")
    _, out = hook(top, capsys)
    assert "stay as they are" not in out


def test_a_shim_that_a_trial_gives_itself_is_not_the_one_that_changed(tmp_path: Path) -> None:
    for name, shim in (("old", "0.75 mm"), ("new", "1.0 mm")):
        shutil.copytree(ROOT / "tests/builds/vee_eight_mm", tmp_path / name)
        replace(tmp_path / name / "rockers.yaml", "shim: 0.75 mm", f"shim: {shim}")
    old, new = (facts_as_read(read_build(tmp_path / name, name)) for name in ("old", "new"))
    [part] = changed_parts(old, new)
    assert (part.path, part.before, part.after) == ("rockers.shim", "0.750 mm", "1.000 mm")


def test_trials_that_became_void_were_rewritten_or_removed_are_listed(tmp_path: Path) -> None:
    for name in ("old", "new"):
        shutil.copytree(ROOT / "example_build", tmp_path / name)
    marks = tmp_path / "new" / "marks.yaml"
    replace(marks, "{length: 9.4255 in, mark: {from: 0.145", "{void: smeared, length: 9.4255 in, mark: {from: 0.145")
    text = marks.read_text(encoding="utf-8")
    first = text.index("      - {length: 9.3500 in")
    marks.write_text(text[:first] + text[text.index("\n", first) + 1 :], encoding="utf-8")
    replace(marks, "mark: {from: 0.149 in, to: 0.179 in}", "mark: {from: 0.151 in, to: 0.179 in}")
    old, new = (facts_as_read(read_build(tmp_path / name, name)) for name in ("old", "new"))
    assert [one.text for one in changed_trials(old, new)] == [
        "cylinder 1 intake, trial 2: now void, smeared",
        "cylinder 1 intake, trial 1: removed",
        "cylinder 1 exhaust, trial 2: rewritten",
    ]


def test_compare_lists_trials_that_became_void(engine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    replace(
        engine / "marks.yaml",
        "{length: 9.4250 in, mark: {from: 0.138",
        "{void: smeared, length: 9.4250 in, mark: {from: 0.138",
    )
    main(["compare", "HEAD"])
    out = capsys.readouterr().out
    assert "trials that became void, were rewritten or were removed" in out
    assert "cylinder 2 intake, trial 1: now void, smeared" in out
