"""CPU time, memory and word error of listening, each measured in a process of its own.

    python tests/benchmarks/listen_speed.py RECORDING [--truth CAPTIONS] [--model base] [--loop MINUTES]

CPU time counts all threads. With --loop the recording is repeated, at slightly different loudness, until it is so long; memory is the
peak of the whole run, model included.
"""

from __future__ import annotations

import argparse
import json
import re
import resource
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from benchscribe.listen import ListenOptions, listen, read_captions

RATE = 16_000


def loop(source: Path, minutes: float, target: Path) -> Path:
    """Repeat a recording as FLAC until it is so long; each turn a little quieter, so that no piece is heard twice."""
    import av

    from benchscribe.listen.decode import Decoder

    once = np.concatenate([block.samples for block in Decoder(source).blocks()])
    with av.open(str(target), "w") as out:
        stream = out.add_stream("flac", rate=RATE)
        stream.layout = "mono"
        left, turn = int(minutes * 60 * RATE), 0
        while left > 0:
            data = (once[:left] * 0.97**turn * 32767).astype(np.int16)
            for at in range(0, data.size, 4096):
                frame = av.AudioFrame.from_ndarray(
                    data[at : at + 4096].reshape(1, -1), format="s16", layout="mono"
                )
                frame.sample_rate = RATE
                for packet in stream.encode(frame):
                    out.mux(packet)
            left, turn = left - data.size, turn + 1
        for packet in stream.encode(None):
            out.mux(packet)
    return target


def plain(text: str) -> str:
    """Give lower-case words without punctuation; numbers as they stand."""
    return " ".join(re.findall(r"[a-z0-9']+", text.lower().replace("-", " ")))


def measure(path: Path, model: str, truth: Path | None) -> None:
    """Listen once, with nothing kept from before, and print what it took."""
    with TemporaryDirectory() as fresh:
        read = listen(
            [path], clock="takes", options=ListenOptions(model=model, device="cpu"), cache_dir=Path(fresh)
        )
    used = resource.getrusage(resource.RUSAGE_SELF)
    seconds = read.files[0].duration_s or 0.0
    cpu = used.ru_utime + used.ru_stime
    result = {
        "audio_s": round(seconds, 1),
        "cpu_s_per_audio_s": round(cpu / seconds, 3),
        "peak_mb": used.ru_maxrss // 1024,
        "words": len(read.words),
        "gaps": [gap.note for gap in read.gaps],
    }
    if truth:
        import jiwer

        said = read_captions(truth)
        result["word_error"] = round(
            jiwer.wer(plain(said.text((0, len(said.words)))), plain(read.text((0, len(read.words))))), 4
        )
    print(json.dumps(result))


def main() -> None:
    """Measure in a child process, so that peak memory is that of listening alone."""
    parser = argparse.ArgumentParser()
    parser.add_argument("recording", type=Path)
    parser.add_argument("--truth", type=Path)
    parser.add_argument("--model", default="base")
    parser.add_argument("--loop", type=float)
    parser.add_argument("--here", action="store_true")
    asked = parser.parse_args()
    if asked.here:
        measure(asked.recording, asked.model, asked.truth)
        return
    with TemporaryDirectory() as folder:
        path = (
            loop(asked.recording, asked.loop, Path(folder) / "long.flac") if asked.loop else asked.recording
        )
        truth = ["--truth", str(asked.truth)] if asked.truth else []
        subprocess.run(
            [sys.executable, __file__, str(path), "--model", asked.model, "--here", *truth], check=True
        )


if __name__ == "__main__":
    main()
