"""An installed copy works in an empty folder: wheel and source archive built, installed, the demo printed.

The new environment sees this one's libraries through a path file, so nothing but the project itself is
installed, and no network is needed.
"""

import os
import shutil
import subprocess
import sys
import sysconfig
import tarfile
import venv
import zipfile
from pathlib import Path

import pytest
from pypdf import PdfReader

ROOT = Path(__file__).parents[2]
SCRIPTS = "Scripts" if os.name == "nt" else "bin"
LEFT_OUT = (".*", "__pycache__", "build", "dist", "output", "node_modules")


def run(*command, cwd, **more):
    """Without a path of the caller's, which would put another copy before the installed one."""
    own = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    done = subprocess.run(
        [str(part) for part in command],
        cwd=cwd,
        env=own,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
        **more,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done


@pytest.fixture(scope="module")
def checkout(tmp_path_factory):
    """A copy of the project without what git does not hold, so that no build sees another's leavings."""
    copy = tmp_path_factory.mktemp("checkout") / "project"
    shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(*LEFT_OUT))
    for name in (".ci", ".gitignore"):
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, copy / name)
        elif (ROOT / name).is_file():
            shutil.copy(ROOT / name, copy / name)
    return copy


@pytest.fixture(scope="module")
def built(checkout, tmp_path_factory):
    """The source archive, and the wheel built from it; as `python -m build` makes them by default."""
    dist = tmp_path_factory.mktemp("dist")
    run(sys.executable, "-m", "build", "--no-isolation", "--outdir", dist, cwd=checkout)
    (archive,) = dist.glob("*.tar.gz")
    (wheel,) = dist.glob("*.whl")
    return archive, wheel


def make_environment(folder):
    """An environment that sees the libraries of this one, but not this project's own installation."""
    venv.create(folder, with_pip=False, symlinks=os.name != "nt")
    python = folder / SCRIPTS / "python"
    site = Path(
        run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=folder).stdout.strip()
    )
    shelf = folder / "shelf"
    shelf.mkdir()
    for path in {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}:
        for entry in Path(path).iterdir():
            name = entry.name.lower()
            if "reach_atlas" not in name and name != "atlas" and not name.endswith(".pth"):
                target = shelf / entry.name
                if not target.exists():
                    target.symlink_to(entry)
    (site / "shelf.pth").write_text(f"{shelf}\n", encoding="utf-8")
    return python


def install(python, archive, cwd):
    run(
        sys.executable, "-m", "pip", "--python", python, "install", "--no-deps", "--no-build-isolation",
        "--no-index", "--quiet", "--disable-pip-version-check", archive, cwd=cwd,
    )  # fmt: skip


@pytest.fixture(scope="module")
def installed(built, tmp_path_factory):
    """The wheel in an environment of its own; returns its folder of commands."""
    folder = tmp_path_factory.mktemp("environment")
    python = make_environment(folder)
    install(python, built[1], folder)
    return python.parent


def test_the_wheel_carries_templates_demo_and_schemas_as_data(built):
    names = set(zipfile.ZipFile(built[1]).namelist())
    for name in (
        "atlas/py.typed",
        "atlas/schema/workings.schema.json",
        "atlas/schema/survey.schema.json",
        "atlas/shipped_data/templates/policy.toml",
        "atlas/shipped_data/templates/words/en.toml",
        "atlas/shipped_data/templates/rigs/movable-control-point.toml",
        "atlas/shipped_data/templates/sheet-letter.toml",
    ):
        assert name in names
    shipped = [name for name in names if name.startswith("atlas/shipped_data/")]
    assert any(name.endswith("/county.toml") for name in shipped)
    assert any(name.endswith(".geojson") for name in shipped)
    assert not [name for name in shipped if name.endswith("__init__.py")]
    assert {name.split("/")[0].split("-")[0] for name in names} == {"atlas", "reach_atlas"}


def test_the_source_archive_carries_every_folder(built):
    with tarfile.open(built[0]) as archive:
        tops = {name.split("/")[1] for name in archive.getnames() if "/" in name}
    assert {"atlas", "sites", "templates", "tests", ".ci", "README.md", "LICENSE", "pyproject.toml"} <= tops


def test_the_installed_command_prints_the_demo_binder_in_an_empty_folder(installed, tmp_path):
    command = installed / "reach-atlas"
    assert run(command, "check", cwd=tmp_path).stdout.startswith("no faults; ")
    done = run(command, "binder", cwd=tmp_path)
    binder = tmp_path / done.stdout.strip()
    sheets = sorted(path.stem for path in (binder.parent / "sheets").iterdir())
    assert len(sheets) >= 14
    assert str(installed.parent) in done.stderr.splitlines()[0], "not the county that was installed"
    labels = PdfReader(binder).page_labels
    assert [label for label in labels if label in sheets] == [label for label in labels if "-" in label]
    assert sorted(label for label in labels if "-" in label) == sheets


def test_the_installed_package_is_the_one_that_runs(installed, tmp_path):
    told = run(installed / "python", "-c", "import atlas; print(atlas.__file__)", cwd=tmp_path).stdout
    assert Path(told.strip()).is_relative_to(installed.parent)
    module = run(installed / "python", "-m", "atlas", "--version", cwd=tmp_path).stdout
    assert module == run(installed / "reach-atlas", "--version", cwd=tmp_path).stdout


def test_a_beginning_made_by_the_installed_command_can_be_checked(installed, tmp_path):
    run(installed / "reach-atlas", "start", "mine", cwd=tmp_path)
    assert run(installed / "reach-atlas", "check", "--county", "mine", cwd=tmp_path).stdout.startswith(
        "no faults; "
    )


def test_the_source_archive_installs_too(built, tmp_path):
    environment = tmp_path / "environment"
    environment.mkdir()
    python = make_environment(environment)
    install(python, built[0], tmp_path)
    assert run(python.parent / "reach-atlas", "check", cwd=tmp_path).stdout.startswith("no faults; ")
