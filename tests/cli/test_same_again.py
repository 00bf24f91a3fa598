"""The same input gives the same record, whatever order a set happens to have."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

EPISODE = Path(__file__).parents[1] / "episodes" / "leather-satchel"


def test_two_processes_with_other_hash_seeds_write_the_same_record(tmp_path: Path) -> None:
    records = []
    for seed in ("1", "2"):
        out = tmp_path / seed
        command = [
            "write",
            "--transcript",
            EPISODE / "transcript.vtt",
            "--parts",
            EPISODE / "parts.csv",
            "--out",
            out,
        ]
        subprocess.run(
            [sys.executable, "-m", "benchscribe.cli", *map(str, command), "--only", "record", "--quiet"],
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
        )
        records.append((out / "record.json").read_bytes())
    assert records[0] == records[1]
