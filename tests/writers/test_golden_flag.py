from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path


def test_golden_files_are_not_renewed_where_nobody_reads_the_diff() -> None:
    run = subprocess.run(
        [
            sys.executable,
            "-m",
            "pytest",
            "--update-golden",
            "--collect-only",
            "-q",
            str(Path(__file__).with_name("test_sheet_out.py")),
        ],
        env={**os.environ, "CI": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 4
    assert "CI is set" in run.stderr
