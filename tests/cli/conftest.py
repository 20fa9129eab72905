"""Commands run in this process, or in one of their own where signals and pipes matter."""

import json
import os
import subprocess
import sys
from dataclasses import dataclass

import pytest

from atlas.cli.app import app


@dataclass(frozen=True)
class Ran:
    """What a command ended with."""

    code: int
    out: str
    err: str

    @property
    def lines(self):
        return self.out.splitlines()


@pytest.fixture
def cli(capsys):
    """Run a command in this process."""

    def run(*arguments):
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            app([str(argument) for argument in arguments], prog_name="reach-atlas")
        told = capsys.readouterr()
        return Ran(ended.value.code or 0, told.out, told.err)

    return run


def start_process(arguments, **more):
    """A command in a process and a process group of its own."""
    return subprocess.Popen(
        [sys.executable, "-m", "atlas", *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
        **more,
    )


@pytest.fixture
def started():
    """Start a command in a process of its own; it is ended with the test."""
    running = []

    def start(*arguments, **more):
        process = start_process(arguments, **more)
        running.append(process)
        return process

    yield start
    for process in running:
        process.kill()
        process.communicate()


def run_to_its_end(*arguments, env=None, **more):
    process = start_process(arguments, env=None if env is None else os.environ | env, **more)
    out, err = process.communicate(timeout=120)
    return Ran(process.returncode, out.decode(), err.decode())


@pytest.fixture
def alone():
    """Run a command in a process of its own, to its end."""
    return run_to_its_end


@pytest.fixture(scope="session")
def run_alone():
    """The same, for what several tests look at."""
    return run_to_its_end


@dataclass(frozen=True)
class Ground:
    """A place to make counties in; the tests stand there, so that faults name files shortly."""

    folder: object
    maker: object

    def county(self, name="flats", features=None):
        self.maker.write_county(self.folder / name, features)
        return self.folder.joinpath(name).relative_to(self.folder)

    def survey(self, county, name, content):
        text = content if isinstance(content, str) else json.dumps(content)
        (self.folder / county / "surveys" / name).write_text(text, encoding="utf-8")


@pytest.fixture
def ground(tmp_path, monkeypatch, county_maker):
    monkeypatch.chdir(tmp_path)
    return Ground(tmp_path, county_maker)


@pytest.fixture
def flats(ground):
    """The small county, in order."""
    return ground.county()


def everything(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }
