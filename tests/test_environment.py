"""environment.yml and pyproject.toml ask for the same packages."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
import yaml

ROOT = Path(__file__).parents[1]


def parse(requirement: str) -> tuple[str, frozenset[str]]:
    """Name as package indexes compare it (PEP 503), and the set of version bounds."""
    name, bounds = re.fullmatch(r"([A-Za-z0-9._-]+)\s*(.*)", requirement.strip()).groups()
    clauses = {clause.replace(" ", "") for clause in bounds.split(",") if clause.strip()}
    return re.sub(r"[-_.]+", "-", name).lower(), frozenset(clauses)


@pytest.fixture(scope="module")
def project():
    return tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]


@pytest.fixture(scope="module")
def conda():
    return yaml.safe_load((ROOT / "environment.yml").read_text("utf-8"))


@pytest.fixture(scope="module")
def by_pip(conda):
    (section,) = [entry["pip"] for entry in conda["dependencies"] if isinstance(entry, dict)]
    return section


@pytest.fixture(scope="module")
def in_conda(conda, by_pip):
    lines = [entry for entry in conda["dependencies"] if isinstance(entry, str)]
    return dict(parse(line) for line in [*lines, *(line for line in by_pip if line != "-e .")])


def test_both_name_the_same_packages_with_the_same_bounds(project, in_conda):
    in_project = dict(
        parse(line)
        for line in [*project["dependencies"], *project["optional-dependencies"]["test"]]
    )
    assert {n: b for n, b in in_conda.items() if n not in ("python", "pip")} == in_project


def test_every_package_has_a_lower_and_an_upper_bound(in_conda):
    # the first start installs these by itself: a release that nobody has tried does not come in
    for name, bounds in in_conda.items():
        if name not in ("python", "pip"):
            assert {clause[0] for clause in bounds} == {">", "<"}, name


def test_both_ask_for_the_same_python(project, in_conda):
    assert in_conda["python"] == parse("python" + project["requires-python"])[1]


def test_nothing_is_named_twice(conda, by_pip):
    names = [parse(line)[0] for line in conda["dependencies"] if isinstance(line, str)]
    names += [parse(line)[0] for line in by_pip if line != "-e ."]
    assert sorted(names) == sorted(set(names))


def test_conda_installs_the_clone_from_one_channel(conda, by_pip):
    assert conda["channels"] == ["conda-forge"]
    assert "-e ." in by_pip
    assert "pip" in conda["dependencies"]  # conda wants it named where a pip section is used


@pytest.mark.parametrize(
    "line, name, bounds",
    [
        ("numpy>=1.26", "numpy", {">=1.26"}),
        ("Colour_Science >= 0.4.6, <1", "colour-science", {">=0.4.6", "<1"}),
        ("pip", "pip", set()),
    ],
)
def test_requirement_lines_are_read(line, name, bounds):
    assert parse(line) == (name, frozenset(bounds))
