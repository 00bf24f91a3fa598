"""The order of the stages, and what starting up costs."""

from __future__ import annotations

import subprocess
import sys

from benchscribe.episode import STAGES


def test_every_stage_reads_only_what_an_earlier_one_made() -> None:
    made: set[str] = set()
    for stage in STAGES:
        assert set(stage.reads) <= made, stage.name
        assert not set(stage.makes) & made, f"{stage.name} makes again what was there"
        made |= set(stage.makes)


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys\nfrom benchscribe.cli import main\n"
        "try:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        "heavy = {'spacy', 'numpy', 'faster_whisper', 'av', 'scipy', 'pint', 'typst', 'jinja2', 'rich', 'msgspec'}\n"
        "print('HEAVY', sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "HEAVY []" in done.stdout
