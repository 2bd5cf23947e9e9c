"""Jobs to test on, and a throw-away PostgreSQL for the shop with several bays."""

import os
import pwd
import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest

from sequencer.graph.targets import parse_targets
from sequencer.job.changes.begin import begin, copied
from sequencer.job.desk import By, Desk
from sequencer.machine.reading import load
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.practice.rules import Practice
from sequencer.plan.teardown import plan_teardown
from tests.support.profile import before_landing

ROOT = Path(__file__).resolve().parent.parent.parent
PUMP = ROOT / "tests" / "machines" / "bench-pump.yaml"
ANN = By("Ann", "laptop")
BO = By("Bo", "phone")


def server_programs():
    """Where initdb and pg_ctl are; None where there is no PostgreSQL."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return found[-1].parent if found else None


def as_server(*words):
    """Run a program of PostgreSQL as a user that it agrees to run as: it refuses to be root."""
    whole = (
        ["runuser", "-u", "postgres", "--", *map(str, words)] if os.getuid() == 0 else list(map(str, words))
    )
    done = subprocess.run(whole, cwd="/", capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="session")
def postgresql():
    """The URL of a PostgreSQL cluster of our own, on a socket in a folder of its own."""
    programs = server_programs()
    if programs is None:
        if os.environ.get("CI") == "true":
            pytest.fail("there is no PostgreSQL here, and CI has to have one: apt-get install postgresql")
        pytest.skip("there is no PostgreSQL here: apt-get install postgresql")
    home = Path(tempfile.mkdtemp(prefix="seq-pg-", dir="/tmp"))
    if os.getuid() == 0:
        user = pwd.getpwnam("postgres")
        os.chown(home, user.pw_uid, user.pw_gid)
    home.chmod(0o755)
    try:
        as_server(programs / "initdb", "-D", home / "data", "-A", "trust", "-U", "shop", "-E", "UTF8", "-N")
        options = f"-k {home} -h '' -F"
        as_server(programs / "pg_ctl", "-D", home / "data", "-l", home / "log", "-w", "-o", options, "start")
        try:
            yield f"postgresql://shop@/postgres?host={home}"
        finally:
            as_server(programs / "pg_ctl", "-D", home / "data", "-m", "immediate", "stop")
    finally:
        shutil.rmtree(home, ignore_errors=True)


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=before_landing)])
def database(request):
    """What stands after ``database`` in a job's card, once for each kind of database."""
    return "journal.db" if request.param == "sqlite" else request.getfixturevalue("postgresql")


def begin_job(
    folder,
    *,
    off=("impeller",),
    database=None,
    machine=PUMP,
    by=ANN,
    practice=Practice.NONE,
    prefer=Prefer.TIME,
    **words,
):
    """A job folder as ``sequencer new`` makes it."""
    read = load(machine)
    plan = plan_teardown(read, parse_targets(read, off), prefer, practice=practice)
    return begin(folder, plan, copied(machine), by, title="Impeller", database=database, **words)


@pytest.fixture
def job(tmp_path):
    """A new job on the bench pump: 17 steps to the impeller."""
    return begin_job(tmp_path / "job")


@pytest.fixture
def desk(job):
    """Ann's desk at it."""
    opened = Desk(job, ANN)
    yield opened
    opened.close()


@pytest.fixture
def at_work(tmp_path, origin, request):
    """A desk at a job on the module's file ``origin``, for what its ``OFF`` names; and the job's copy."""
    folder = begin_job(tmp_path / "job", machine=origin, off=request.module.OFF)
    opened = Desk(folder, ANN)
    yield opened, folder.machine
    opened.close()
