"""Learn where sentences begin in talk without punctuation, and measure how well it is found.

The punctuated transcripts of annotated episodes are stripped of punctuation and capitals; the sentence ends that were there are the truth.
`--write` learns from the episodes that are named and writes `sentence_weights.toml`; without it, the shipped weights are measured on every
punctuated one of them. Those that `HELD.txt` beside them names are left out.
`--leave-one-out` learns from all but one and measures on that one, for an honest figure.

    python tests/benchmarks/listen_sentences.py tests/episodes/*/ [--write FILE | --leave-one-out]
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from pathlib import Path

import numpy as np
from scipy.optimize import minimize
from scipy.sparse import csr_matrix
from score_episodes import held

from benchscribe.listen import cut_utterances, read_captions, sentences
from benchscribe.listen.sizes_in_talk import bare
from benchscribe.records import Word

FEWEST = 3
STRENGTH = 2.0
PUNCTUATED = 0.03


def strip(folder: Path) -> tuple[list[Word], set[int]] | None:
    """Give an episode's words without punctuation, and where sentences began; None where it had none."""
    read = read_captions(folder / "transcript.vtt")
    words: list[Word] = []
    starts: set[int] = set()
    for word in read.words:
        text = bare(word.text)
        if not text:
            continue
        words.append(Word(text, word.start_s, word.end_s))
        if re.search(r"(?<!\.)[.?!][\"')]*$", word.text):
            starts.add(len(words))
    starts.discard(len(words))
    return (words, starts) if len(starts) > PUNCTUATED * len(words) else None


def learn(data: list[tuple[list[Word], set[int]]]) -> dict[str, float]:
    """Fit a logistic regression over the features of each place between two words."""
    rows = [
        (sentences.features([w.text for w in words], at), at in starts)
        for words, starts in data
        for at in range(1, len(words))
    ]
    counts = Counter(name for names, _ in rows for name in names)
    names = sorted(name for name, count in counts.items() if count >= FEWEST)
    index = {name: i for i, name in enumerate(names)}
    cells = [(r, index[name]) for r, (found, _) in enumerate(rows) for name in found if name in index]
    matrix = csr_matrix((np.ones(len(cells)), tuple(np.array(cells).T)), shape=(len(rows), len(names)))
    truth = np.array([1.0 if start else -1.0 for _, start in rows])

    def loss(weights: np.ndarray) -> tuple[float, np.ndarray]:
        margin = truth * (matrix @ weights[:-1] + weights[-1])
        back = -truth / (1 + np.exp(np.clip(margin, -50, 50)))
        slope = np.append(matrix.T @ back + STRENGTH * weights[:-1], back.sum())
        return float(np.logaddexp(0, -margin).sum() + 0.5 * STRENGTH * weights[:-1] @ weights[:-1]), slope

    found = minimize(loss, np.zeros(len(names) + 1), jac=True, method="L-BFGS-B").x
    weights = {name: round(float(w), 2) for name, w in zip(names, found, strict=False) if abs(w) >= 0.1}
    return {"bias": round(float(found[-1]), 2), **weights}


def score(words: list[Word], starts: set[int]) -> tuple[int, int, int]:
    """Count starts that were found and are right, all that were found, and all there are."""
    found = {utterance.span[0] for utterance in cut_utterances(words)} - {0}
    return len(found & starts), len(found), len(starts)


def report(name: str, right: int, found: int, there: int) -> None:
    print(
        f"{name:24} precision {right / max(1, found):.3f} recall {right / there:.3f} F1 {2 * right / (found + there):.3f}"
    )


def main() -> None:
    folders = [Path(a) for a in sys.argv[1:] if Path(a).is_dir() and not held(Path(a))]
    data = {folder.name: read for folder in folders if (read := strip(folder))}
    if "--write" in sys.argv:
        target = Path(sys.argv[sys.argv.index("--write") + 1])
        weights = learn(list(data.values()))
        head = "# Log odds that a sentence begins between two words; made by tests/benchmarks/listen_sentences.py --write, do not edit.\n"
        target.write_text(
            head + "\n".join(f'"{name}" = {weight}' for name, weight in weights.items()) + "\n",
            encoding="utf-8",
        )
        print(f"{len(weights)} weights from {', '.join(data)}")
        return
    total = [0, 0, 0]
    for name, (words, starts) in data.items():
        if "--leave-one-out" in sys.argv:
            weights = learn([read for other, read in data.items() if other != name])
            sentences._weights = lambda weights=weights: (
                weights
            )  # the weights of the others, for this one measurement
        counts = score(words, starts)
        report(name, *counts)
        total = [a + b for a, b in zip(total, counts, strict=True)]
    report("all", *total)


if __name__ == "__main__":
    main()
