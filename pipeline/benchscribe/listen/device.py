"""Where to compute: the CPU, or an NVIDIA GPU that has been tried out first.

A GPU library that is missing or too old does not raise an error, it aborts the whole program; so it is tried in a child process.
"""

from __future__ import annotations

import os
import subprocess
import sys
from typing import Final

from msgspec import Struct

from benchscribe.errors import ModelError

_PROBE_S: Final = 120
_MOST_THREADS: Final = 8
"""More than this makes the base model slower, not faster: its layers are too small to share out further."""
_PROBE: Final = """
import sys
import ctranslate2, numpy
kinds = ctranslate2.get_supported_compute_types("cuda")
model = ctranslate2.models.Whisper(sys.argv[1], device="cuda", compute_type=sys.argv[2])
mels = model.n_mels
model.encode(ctranslate2.StorageView.from_array(numpy.zeros((1, mels, 3000), dtype=numpy.float32)), to_cpu=True)
print("works")
"""


class Device(Struct, frozen=True, kw_only=True):
    """What to compute on."""

    name: str
    """cpu or cuda."""
    compute_type: str
    """int8 on the CPU; float16 or int8_float16 on a GPU."""
    threads: int
    why: str = ""
    """Why not the GPU, where there is one and it is not used."""


def choose_device(wanted: str, threads: int | None, model_folder: str | None) -> Device:
    """Choose what to compute on.

    Args:
        wanted: auto, cpu or cuda.
        threads: Threads on the CPU; None for a sensible number.
        model_folder: The model to try a GPU with; None to leave out the trial.

    Raises:
        ModelError: `wanted` is unknown, or is cuda and cannot be used.
    """
    if wanted not in {"auto", "cpu", "cuda"}:
        raise ModelError(f'there is no device called "{wanted}"', todo="Allowed: auto, cpu, cuda.")
    cpu = Device(name="cpu", compute_type="int8", threads=threads or sensible_threads())
    if wanted == "cpu":
        return cpu
    kind, why = _try_gpu(model_folder)
    if kind:
        return Device(name="cuda", compute_type=kind, threads=cpu.threads)
    if wanted == "cuda":
        raise ModelError(f"the GPU cannot be used: {why}", todo="Leave the device on auto to use the CPU.")
    return Device(name="cpu", compute_type="int8", threads=cpu.threads, why=why)


def describe_device() -> str:
    """Say in a few words what would be computed on; for `benchscribe check`."""
    count = _gpu_count()
    threads = sensible_threads()
    cpu = f"CPU, int8, {threads} thread{'s' if threads != 1 else ''}"
    return (
        f"{count} NVIDIA GPU{'s' if count != 1 else ''}, tried out before use; otherwise {cpu}"
        if count
        else cpu
    )


def sensible_threads() -> int:
    """Give the number of CPU threads to use: those that this process may use, up to eight."""
    try:
        free = len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        free = os.cpu_count() or 1
    return max(1, min(_MOST_THREADS, free))


def _gpu_count() -> int:
    try:
        import ctranslate2

        return int(ctranslate2.get_cuda_device_count())
    except (ImportError, RuntimeError, ValueError):
        return 0


def _try_gpu(model_folder: str | None) -> tuple[str, str]:
    """Give the kind of numbers that the GPU works with, or why it does not work."""
    if not _gpu_count():
        return "", "there is none"
    if model_folder is None:
        return "float16", ""
    why = ""
    for kind in ("float16", "int8_float16", "float32"):
        try:
            run = subprocess.run(  # noqa: S603 - our own interpreter with our own lines
                [sys.executable, "-c", _PROBE, model_folder, kind],
                capture_output=True,
                text=True,
                timeout=_PROBE_S,
                check=False,
            )
        except (OSError, subprocess.TimeoutExpired):
            return "", "it did not answer"
        if run.returncode == 0 and "works" in run.stdout:
            return kind, ""
        why = (run.stderr.strip().splitlines() or ["it stopped without a word"])[-1]
    return "", why
