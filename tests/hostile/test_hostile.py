"""Three hundred hostile cases, none of which ends in a traceback, a hang, part of a set, or a file lost.

Run apart, since each case is a fork, which a process with threads is not to make.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.slow
def test_three_hundred_cases():
    cases = [sys.executable, "-m", "tests.hostile", "--cases", "300", "--seed", "1"]
    done = subprocess.run(cases, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-5000:] + done.stderr[-2000:]
    assert "300 cases, 0 at fault" in done.stdout
    good, refused = map(int, re.search(r"^all +(\d+) +(\d+)$", done.stdout, re.MULTILINE).groups())
    assert min(good, refused) >= 60  # neither all refused at once, nor harmless
