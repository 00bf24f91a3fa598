"""Takes a talk of four hours through everything after listening, and tells what took how long.

    four_hours.py [--keep DIR]

Wall time, processor time and the most memory of one process, from a caption file of 39,000 words and a part list to every file that
goes out. Wanted: under 12 s and 700 MB. Other work on the machine shows in the wall time, and a little in the processor's.
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent / "outside"))

from odd_episodes import Odd, four_hours, lay_out

from benchscribe import episode, intake, main_job
from benchscribe.cli import main as command
from benchscribe.writers import WRITERS
from benchscribe.writers.view import make_view

STAGES = (
    "listen", "read_part_list", "find_measures", "find_mentions", "place", "find_findings", "cut_chapters", "make_guide"
)  # fmt: skip


def timed(spent: dict[str, float], name: str, work: Callable[..., Any]) -> Callable[..., Any]:
    def run(*args: Any, **more: Any) -> Any:  # noqa: ANN401 - handed on as it came
        begun = time.process_time()
        try:
            return work(*args, **more)
        finally:
            spent[name] = spent.get(name, 0.0) + time.process_time() - begun

    return run


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--keep", type=Path, help="where to leave the files")
    args = parser.parse_args()
    spent: dict[str, float] = {}
    for name in STAGES:
        home = episode if hasattr(episode, name) else intake
        setattr(home, name, timed(spent, name, getattr(home, name)))
    vars(main_job)["write_outputs"] = timed(spent, "all writers", main_job.write_outputs)
    with tempfile.TemporaryDirectory() as folder:
        home = args.keep or Path(folder)
        arguments = lay_out(Odd(four_hours()), home)
        wall, cpu = time.perf_counter(), time.process_time()
        command(arguments)
        wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"wall {wall:.1f} s, processor {cpu:.1f} s, at most {memory:.0f} MB")
        for name, seconds in sorted(spent.items(), key=lambda item: -item[1]):
            print(f"  {name:16}{seconds:6.2f} s")
        from benchscribe.records import from_json

        view = make_view(from_json((home / "out" / "record.json").read_bytes()), out=home / "out")
        for name, writer in WRITERS.items():
            begun = time.process_time()
            writer.make(view)
            print(f"    {name:14}{time.process_time() - begun:6.2f} s")


if __name__ == "__main__":
    main()
