"""Shared parts: their fields are taken and overridden, found inside the repository only, named in the report."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import run
from buildcheck.core.subject import Subject
from buildcheck.output.report.render import render

ROOT = Path(__file__).parent.parent
SPRING = """\
installed_height: 1.700 in +/- 0.010 in
seat_force: 95 lbf
rate: 265 lbf/in
coil_bind_height: 29.2 mm
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A repository with one build, whose springs stand in the shelf."""
    shutil.copytree(ROOT / "example_build", tmp_path / "engines/dunlin")
    (tmp_path / "buildcheck.yaml").write_text("builds: [engines/*]\n", encoding="utf-8")
    _part(tmp_path, "parts/springs/s-120.yaml", SPRING)
    _springs(tmp_path, "{uses: parts/springs/s-120.yaml}")
    return tmp_path


def _part(shop: Path, name: str, text: str) -> None:
    (shop / name).parent.mkdir(parents=True, exist_ok=True)
    (shop / name).write_text(text, encoding="utf-8")


def _springs(shop: Path, both: str) -> None:
    heads = shop / "engines/dunlin/heads.yaml"
    kept = heads.read_text(encoding="utf-8").partition("\nsprings:")[0]
    heads.write_text(f"{kept}\nsprings:\n  intake: {both}\n  exhaust: {both}\n", encoding="utf-8")


def _checked(shop: Path) -> CheckedBuild:
    return run([shop / "engines"]).builds[0]


def _messages(shop: Path) -> list[str]:
    return [f"{problem.place} {problem.path} {problem.message}" for problem in _checked(shop).problems]


def test_the_part_s_fields_are_taken_and_their_places_point_to_it(shop: Path) -> None:
    value = _checked(shop).facts.field("heads.springs.{valve}.rate", Subject(valve="exhaust"))
    assert value.si == pytest.approx(265 * 4.4482216152605 / 0.0254)
    assert [str(place) for place in value.places] == ["../../parts/springs/s-120.yaml:3:7"]


def test_what_the_build_writes_overrides(shop: Path) -> None:
    _springs(shop, "{uses: parts/springs/s-120.yaml, rate: 300 lbf/in}")
    facts = _checked(shop).facts
    assert facts.field("heads.springs.intake.rate").places[0].file == "heads.yaml"
    assert facts.field("heads.springs.intake.seat_force").places[0].file == "../../parts/springs/s-120.yaml"


def test_a_whole_file_may_use_a_part_and_override_deep_inside(shop: Path) -> None:
    heads = shop / "engines/dunlin/heads.yaml"
    _part(shop, "parts/heads/six.yaml", heads.read_text(encoding="utf-8"))
    own = "uses: parts/heads/six.yaml\nsprings: {intake: {rate: 300 lbf/in}}\n"
    heads.write_text(own, encoding="utf-8")
    checked = _checked(shop)
    assert checked.problems == ()
    assert str(checked.facts.field("heads.springs.intake.rate").places[0]) == "heads.yaml:2:26"
    assert set(checked.build.parts) == {"../../parts/heads/six.yaml", "../../parts/springs/s-120.yaml"}


def test_the_report_names_the_part_and_changes_with_it(shop: Path) -> None:
    done = run([shop / "engines"])
    before = render(done.builds[0])
    assert ", ../../parts/springs/s-120.yaml\n" in before
    _part(shop, "parts/springs/s-120.yaml", SPRING + "note: retested\n")
    done = run([shop / "engines"])
    assert render(done.builds[0]) != before


def test_a_fault_in_a_part_is_reported_at_its_place_in_the_part(shop: Path) -> None:
    _part(shop, "parts/springs/s-120.yaml", SPRING.replace("265 lbf/in", "265 lbf").replace("seat_force", "seat_farce"))
    assert [result.partition(";")[0] for result in _messages(shop)] == [
        "../../parts/springs/s-120.yaml:2:1 springs.exhaust.seat_farce unknown key 'seat_farce'",
        "../../parts/springs/s-120.yaml:2:1 springs.intake.seat_farce unknown key 'seat_farce'",
        "../../parts/springs/s-120.yaml:3:7 springs.exhaust.rate '265 lbf' is a force",
        "../../parts/springs/s-120.yaml:3:7 springs.intake.rate '265 lbf' is a force",
    ]


@pytest.mark.parametrize(
    "path",
    ["../outside.yaml", "/etc/passwd", "parts/../../outside.yaml", ".git/config.yaml", "parts\\springs.yaml",
     "parts/springs/s-120.json", "parts//springs.yaml", "http://example.org/a.yaml", ""],
)  # fmt: skip
def test_a_path_that_could_lead_out_is_refused(shop: Path, path: str) -> None:
    (shop.parent / "outside.yaml").write_text(SPRING, encoding="utf-8")
    _springs(shop, f"{{uses: '{path}'}}")
    assert len(_messages(shop)) == 2
    assert all("write a path from the repository's root" in result for result in _messages(shop))


@pytest.mark.parametrize("folder", [False, True], ids=["file", "folder"])
def test_a_link_out_of_the_repository_is_refused(
    shop: Path, tmp_path_factory: pytest.TempPathFactory, folder: bool
) -> None:
    outside = tmp_path_factory.mktemp("outside")
    (outside / "s-120.yaml").write_text(SPRING, encoding="utf-8")
    shutil.rmtree(shop / "parts/springs")
    link, target = ("parts/springs", outside) if folder else ("parts/s-120.yaml", outside / "s-120.yaml")
    os.symlink(target, shop / link)
    _springs(shop, f"{{uses: {'parts/springs/s-120.yaml' if folder else 'parts/s-120.yaml'}}}")
    assert [result.partition(" ")[2].partition(" ")[2] for result in _messages(shop)] == [
        f"{'parts/springs/s-120.yaml' if folder else 'parts/s-120.yaml'} is a link to outside the repository"
    ] * 2


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("- 1 in\n", "is not a part"),
        ("", "is empty"),
        ("uses: parts/springs/s-120.yaml\n", "uses itself"),
        ("rate: [\n", "a closing bracket is missing"),
    ],
)
def test_a_part_that_cannot_be_used_is_reported_at_one_place_and_hides_nothing_else(
    shop: Path, text: str, message: str
) -> None:
    _part(shop, "parts/springs/s-120.yaml", text)
    result = _messages(shop)
    assert len({one.partition(" ")[0] for one in result}) == 1
    assert result[0].startswith("../../parts/springs/s-120.yaml:")
    assert message in result[0]


def test_one_that_is_not_there_is_reported_where_it_is_named(shop: Path) -> None:
    _springs(shop, "{uses: parts/springs/s-130.yaml}")
    assert (
        "heads.yaml:22:18 springs.intake.uses the repository has no file parts/springs/s-130.yaml" in _messages(shop)[0]
    )


def test_uses_has_no_place_where_a_build_speaks_for_itself(shop: Path) -> None:
    build = shop / "engines/dunlin/build.yaml"
    build.write_text(build.read_text(encoding="utf-8") + "uses: parts/springs/s-120.yaml\n", encoding="utf-8")
    assert any("unknown key 'uses'" in result for result in _messages(shop))


def test_parts_that_use_each_other_without_end_are_cut_off(shop: Path) -> None:
    for number in range(8):
        _part(shop, f"parts/springs/s-{number}.yaml", f"uses: parts/springs/s-{number + 1}.yaml\n")
    _springs(shop, "{uses: parts/springs/s-0.yaml}")
    assert any("more than 4 deep" in result for result in _messages(shop))


def test_a_build_s_own_file_is_no_part(shop: Path) -> None:
    shutil.copytree(shop / "engines/dunlin", shop / "engines/teal")
    _springs(shop, "{uses: engines/teal/cam.yaml}")
    own = (
        "engines/teal/cam.yaml is a build's own file: put what is shared into a file elsewhere, such as parts/cam.yaml"
    )
    found = run([shop / "engines/dunlin"]).builds[0].problems
    assert [problem.message for problem in found] == [own, own]
    (shop / "engines/teal/gauge.yaml").write_text(SPRING, encoding="utf-8")
    _springs(shop, "{uses: engines/teal/gauge.yaml}")
    assert run([shop / "engines/dunlin"]).builds[0].problems == ()
