"""Word error on real human speech: LibriVox clips from the Debian package pocketsphinx-testdata.

    python tests/benchmarks/listen_human.py FOLDER [MODEL]

FOLDER is the `librivox` folder of that package (dpkg -L pocketsphinx-testdata | grep librivox$).
"""

from __future__ import annotations

import re
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import jiwer
from platformdirs import user_cache_path

from benchscribe.listen import ListenOptions, listen


def plain(text: str) -> str:
    """Give lower-case words without punctuation."""
    return " ".join(
        re.findall(r"[a-z0-9']+", text.lower().replace("-", " ").replace("<s>", "").replace("</s>", ""))
    )


def main() -> None:
    """Print each clip's word error and all clips' together."""
    folder = Path(sys.argv[1])
    model = sys.argv[2] if len(sys.argv) > 2 else "base"
    lines = (folder / "transcription").read_text(encoding="utf-8").splitlines()
    truth = {found[2]: plain(found[1]) for line in lines if (found := re.match(r"(.*)\((.+)\)\s*$", line))}
    said, heard = [], []
    with TemporaryDirectory() as fresh:
        ready = user_cache_path("benchscribe") / "models"
        if ready.is_dir():
            (Path(fresh) / "models").symlink_to(ready)
        for name, text in sorted(truth.items()):
            path = folder / f"{name}.wav"
            if not path.is_file():
                continue
            read = listen([path], clock="takes", options=ListenOptions(model=model), cache_dir=Path(fresh))
            said.append(text)
            heard.append(plain(read.text((0, len(read.words)))))
            print(f"{name}: {jiwer.wer(said[-1], heard[-1]):.3f}\n  said  {said[-1]}\n  heard {heard[-1]}")
    counts = jiwer.process_words(said, heard)
    total = counts.hits + counts.substitutions + counts.deletions
    print(f"{len(said)} clips, {total} words, model {model}: word error {100 * counts.wer:.1f} %")


if __name__ == "__main__":
    main()
