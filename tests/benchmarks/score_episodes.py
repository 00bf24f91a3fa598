"""Scores the main job on annotated episodes, a column an episode and their mean.

    score_episodes.py --scorer SCORE_EPISODE.PY EPISODE_DIR... [--held] [--details]

An episode folder holds `transcript.vtt`, `parts.csv` and `gold.json`. Folders that `HELD.txt` beside them names are left out unless
`--held` is given: nobody tunes on them, so nobody looks at them by accident.
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import sys
import tempfile
from pathlib import Path
from statistics import mean
from typing import Any

from benchscribe.main_job import write_transcript


def load(path: Path) -> Any:  # noqa: ANN401 - a module from a path has no type
    spec = importlib.util.spec_from_file_location("scorer", path)
    if spec is None or spec.loader is None:
        sys.exit(f"{path} is no Python file")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def held(folder: Path) -> bool:
    """Tell whether an episode is kept aside: nobody tunes on it."""
    names = folder.absolute().parent / "HELD.txt"
    return names.is_file() and folder.name in names.read_text(encoding="utf-8").split()


def run(folder: Path, scorer: Any) -> dict[str, Any]:  # noqa: ANN401
    with tempfile.TemporaryDirectory() as out:
        options = {"out": Path(out), "quiet": True, "only": "record"}
        write_transcript(folder / "transcript.vtt", folder / "parts.csv", options)
        record = json.loads((Path(out) / "record.json").read_text())
    result: dict[str, Any] = scorer.score(record, json.loads((folder / "gold.json").read_text()))
    return result


def figure(value: Any) -> float | None:  # noqa: ANN401
    if isinstance(value, dict):
        return float(value["f1"])
    return None if isinstance(value, list) else float(value)


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("episodes", nargs="+", type=Path)
    parser.add_argument("--scorer", type=Path, required=True)
    parser.add_argument("--held", action="store_true", help="also the episodes that nobody tunes on")
    parser.add_argument("--details", action="store_true", help="also missed and false findings")
    args = parser.parse_args()
    scorer = load(args.scorer)
    folders = [f for f in args.episodes if (f / "gold.json").is_file() and (args.held or not held(f))]
    results = {f.name: run(f, scorer) for f in folders}
    keys = [k for k, v in next(iter(results.values())).items() if figure(v) is not None]
    width = max(len(k) for k in keys)
    print(" " * width, *(f"{name[:12]:>12}" for name in results), f"{'mean':>8}")
    for key in keys:
        row = [figure(r.get(key, 0.0)) or 0.0 for r in results.values()]
        print(f"{key:<{width}}", *(f"{x:12.3f}" for x in row), f"{mean(row):8.3f}")
    found = [r["findings"] for r in results.values()]
    hit, shown, gold = (sum(f[k] for f in found) for k in ("hit", "found", "gold"))
    print(f"findings pooled: precision {hit}/{shown}, recall {hit}/{gold}")
    if args.details:
        for name, result in results.items():
            for key in ("missed_findings", "false_findings"):
                print(f"{name} {key}:", *(f"\n    {line}" for line in result[key]))


if __name__ == "__main__":
    main()
