"""Imports go down only, each foreign library lives behind one file, and a bare start loads next to nothing."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "reefjournal"
QUANTITIES = {"quantities", "chemistry.weights"}
# What each part may import of ours, itself aside. Quantities take their factors from the table of atomic weights.
MAY: dict[str, set[str]] = {
    "problems": set(),
    "believed": set(),
    "cache": set(),
    "quantities": {"believed", "chemistry.weights"},
    "events": {"quantities"},
    "facts": set(),
    "chemistry": {"believed"},
    "workshop": {"believed"},
    "nitrification": {"believed", "chemistry"},
    "markdown": {"problems"},
    "journal": {"believed", "cache", "markdown", "events", "problems", *QUANTITIES},
    "timeline": {"believed", "events", "quantities"},
    "evidence": {
        "believed", "cache", "timeline", "chemistry", "workshop", "nitrification", "facts", "events", "quantities",
    },
    "advisor": {"believed", "cache", "facts", "quantities", "problems", "chemistry", "workshop"},
    "diary": {"timeline", "advisor", "markdown", "events", "quantities", "problems"},
}  # fmt: skip
BEHIND = {
    "markdown_it": {"markdown.py"},
    "durable": {"advisor/engine.py"},
    "durable_rules_engine": {"advisor/engine.py"},
    "jinja2": {"diary/writing.py"},
    "markupsafe": {"diary/writing.py"},
}
FILES = sorted(PACKAGE.rglob("*.py"))


def imported(file: Path) -> set[str]:
    """The dotted names that a file imports, wherever in it they stand."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {module_of(node.module, alias.name) for alias in node.names}
    return names


def module_of(module: str, name: str) -> str:
    """The module that `from module import name` reads: the one called name, where there is one."""
    inner = PACKAGE.parent / module.replace(".", "/") / name
    return f"{module}.{name}" if inner.is_dir() or inner.with_suffix(".py").exists() else module


def part_of(name: str) -> str:
    return name.removeprefix("reefjournal.")


def within(name: str, allowed: set[str]) -> bool:
    return any(name == one or name.startswith(f"{one}.") for one in allowed)


@pytest.mark.parametrize("part", sorted(MAY))
def test_a_part_imports_only_what_lies_below_it(part: str) -> None:
    files = [file for file in FILES if file.relative_to(PACKAGE).parts[0] in (part, f"{part}.py")]
    ours = {(file, part_of(name)) for file in files for name in imported(file) if name.startswith("reefjournal.")}
    assert files, f"{part} is gone"
    assert [(file.name, name) for file, name in sorted(ours) if not within(name, {part} | MAY[part])] == []


def test_nobody_imports_the_command_line() -> None:
    others = [file for file in FILES if PACKAGE / "cli" not in file.parents and file.name != "__main__.py"]
    assert [file for file in others if any("reefjournal.cli" in name for name in imported(file))] == []


@pytest.mark.parametrize("library", sorted(BEHIND))
def test_a_foreign_library_lives_behind_one_file(library: str) -> None:
    using = [file for file in FILES if any(name.split(".")[0] == library for name in imported(file))]
    users = {str(file.relative_to(PACKAGE)) for file in using}
    assert users <= BEHIND[library]


def loaded_by(code: str) -> set[str]:
    """The top-level modules that a fresh interpreter has loaded after some code."""
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print(*sys.modules)"], capture_output=True, text=True, check=True
    )
    return {name.split(".")[0] for name in done.stdout.splitlines()[-1].split()}


def test_help_loads_click_alone() -> None:
    asked = "CliRunner().invoke(main, ['--help'])"
    loaded = loaded_by(f"from click.testing import CliRunner; from reefjournal.cli import main; {asked}")
    assert loaded & {"pydantic", "markdown_it", "numpy", "scipy", "jinja2", "durable"} == set()


def test_checking_loads_nothing_heavy() -> None:
    sample = PACKAGE.parent / "sample_journal"
    loaded = loaded_by(f"import reefjournal; reefjournal.read({str(sample)!r}).problems")
    assert loaded & {"numpy", "scipy", "matplotlib", "jinja2", "durable"} == set()


def test_advice_without_a_fit_loads_no_numpy() -> None:
    sample = PACKAGE.parent / "sample_journal"
    loaded = loaded_by(
        f"import reefjournal, datetime; reefjournal.read({str(sample)!r})"
        ".advise(on=datetime.date(2026, 3, 5), forecast=False)"
    )
    assert loaded & {"numpy", "scipy", "matplotlib", "jinja2"} == set()
