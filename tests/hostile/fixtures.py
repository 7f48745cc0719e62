"""The command as a fixture, for every folder of tests that runs it."""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.hostile.command import Advisor


@pytest.fixture(scope="session")
def common_cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One cache folder for all runs that are not about the cache."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture
def advisor(tmp_path: Path, common_cache: Path) -> Advisor:
    """The command in a folder, with a journal and an environment of its own."""
    return Advisor(tmp_path, common_cache)


# Permissions bind everybody but root. Root's processes lose that privilege here, as they are started:
# numbers from capability.h and prctl.h of Linux.
CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH, PR_CAPBSET_DROP = 1, 2, 24


def give_up_privileges() -> None:
    """From the next program on, permissions bind this process as they bind anybody."""
    for capability in (CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH):
        if ctypes.CDLL(None, use_errno=True).prctl(PR_CAPBSET_DROP, capability, 0, 0, 0):
            raise OSError(ctypes.get_errno(), "privileges cannot be given up")


@pytest.fixture
def ordinary(tmp_path: Path, common_cache: Path) -> Iterator[Advisor]:
    """The command run so that permissions bind it, whoever runs the tests; they are opened up afterwards."""
    if os.name == "nt":
        pytest.skip("permissions work otherwise there")
    before = give_up_privileges if os.geteuid() == 0 else None
    closed = tmp_path / "closed"
    closed.write_text("")
    closed.chmod(0)
    command = [sys.executable, "-c", "open(__import__('sys').argv[1])", str(closed)]
    try:
        probe = subprocess.run(command, preexec_fn=before, capture_output=True, check=False)
    except (OSError, subprocess.SubprocessError):
        pytest.skip("runs as root, whom no permission binds, and cannot give that up here")
    if probe.returncode == 0:
        pytest.skip("this file system has no permissions")
    closed.unlink()
    yield Advisor(tmp_path, common_cache, before=before)
    for top, folders, _ in os.walk(tmp_path):
        for name in folders:
            Path(top, name).chmod(0o700)
