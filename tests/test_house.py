"""The house itself: what no file may name, the lock, the layers, the README's first words."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parent.parent
LOCKS = ["requirements.lock", "requirements-dev.lock"]
MADE_HERE = {".git", ".venv", ".venv-lock", ".mypy_cache", ".ruff_cache", ".pytest_cache", ".hypothesis", "__pycache__"}

# Written so that the patterns do not match themselves.
REGISTRY_HOST = re.compile(r"py[p]i\.org|python[h]osted\.org|deb[.]debian\.org|npm[j]s\.(?:org|com)", re.IGNORECASE)
MACHINE_PATH = re.compile(r"(?<![\w.)}$~-])/(?:wor[k]|roo[t]|tm[p])/\w", re.ASCII)


def files() -> list[Path]:
    """Every file of the project: what git knows or would take, or all of them in an unpacked archive."""
    listing = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    if listing.returncode == 0:
        found = [ROOT / name for name in listing.stdout.split("\0") if name]
    else:
        found = [path for path in ROOT.rglob("*") if not MADE_HERE & set(path.relative_to(ROOT).parts)]
    return [path for path in found if path.is_file()]


@pytest.mark.parametrize("pattern", [REGISTRY_HOST, MACHINE_PATH], ids=["registry host", "machine path"])
def test_no_file_names(pattern: re.Pattern[str]) -> None:
    named = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()[:100]}"
        for path in files()
        for number, line in enumerate(path.read_text(encoding="utf-8", errors="replace").splitlines(), 1)
        if pattern.search(line)
    ]
    assert named == []


@pytest.mark.parametrize("text", ["see /wor" + "k/x", 'open("/tm' + 'p/a")', "(/roo" + "t/x)"])
def test_a_machine_path_would_be_seen(text: str) -> None:
    assert MACHINE_PATH.search(text)


def pins(lock: str) -> dict[str, tuple[Requirement, list[str]]]:
    """Name: (the pinned requirement, its hashes), as pip reads them (pip's "requirements file format")."""
    text = (ROOT / lock).read_text(encoding="utf-8").replace("\\\n", " ")
    found: dict[str, tuple[Requirement, list[str]]] = {}
    for line in text.splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        spec, *hashes = re.split(r"\s+--hash=", line.strip())
        requirement = Requirement(spec)
        found[canonicalize_name(requirement.name)] = (requirement, hashes)
    return found


@pytest.mark.parametrize("lock", LOCKS)
def test_every_locked_package_has_one_version_and_its_hashes(lock: str) -> None:
    found = pins(lock)
    assert found
    for name, (requirement, hashes) in found.items():
        assert [clause.operator for clause in requirement.specifier] == ["=="], name
        assert hashes, name
        for value in hashes:
            assert re.fullmatch(r"sha256:[0-9a-f]{64}", value), name


def test_the_lock_for_work_on_the_project_holds_the_lock_for_its_use() -> None:
    mine = pins(LOCKS[1])
    for name, (requirement, hashes) in pins(LOCKS[0]).items():
        assert mine[name][0].specifier == requirement.specifier
        assert set(mine[name][1]) == set(hashes)


@pytest.mark.parametrize(("lock", "extra"), [(LOCKS[0], None), (LOCKS[1], "dev")])
def test_the_lock_serves_what_the_project_asks_for(lock: str, extra: str | None) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [Requirement(text) for text in project["dependencies"]]
    extras = [extra] if extra is not None else []
    for one in extras:  # an extra may name others of the project's own
        for requirement in map(Requirement, project["optional-dependencies"][one]):
            own = requirement.name == project["name"]
            extras += sorted(requirement.extras) if own else []
            wanted += [] if own else [requirement]
    found = pins(lock)
    for requirement in wanted:
        (clause,) = found[canonicalize_name(requirement.name)][0].specifier
        assert requirement.specifier.contains(clause.version), requirement


def lint_imports(where: Path) -> subprocess.CompletedProcess[str]:
    script = "from importlinter.cli import lint_imports_command; lint_imports_command(['--no-cache'])"
    return subprocess.run(
        [sys.executable, "-c", script],
        cwd=where,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(where / "engine"), str(where / "tui")])},
        check=False,
    )


def test_the_layers_hold() -> None:
    done = lint_imports(ROOT)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize(
    ("line", "contract"),
    [
        ("import nextprobe.resources", "Arrows point downward only"),
        ("import nextprobe_tui", "Nothing but the command that opens the screens"),
        ("import rich", "The engine knows of no terminal library"),
    ],
)
def test_a_broken_layer_would_be_seen(line: str, contract: str, tmp_path: Path) -> None:
    for folder in ("engine", "tui"):
        shutil.copytree(ROOT / folder, tmp_path / folder, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    with (tmp_path / "engine/nextprobe/errors.py").open("a", encoding="utf-8") as file:
        file.write(f"\n{line}\n")
    done = lint_imports(tmp_path)
    assert done.returncode == 1, done.stdout + done.stderr
    assert re.search(rf"{re.escape(contract)}.*BROKEN", done.stdout)


def test_the_readme_states_the_job_first() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    paragraphs = [part for part in readme.split("\n\n") if not part.startswith("#")]
    assert "which check next" in " ".join(paragraphs[0].split())


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_links_within_the_project_lead_somewhere(page: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    targets = [target for target in re.findall(r"\]\(([^)#]+)", text) if "://" not in target]
    assert [target for target in targets if not (ROOT / target).exists()] == []
