"""Fits the weights of placement on annotated episodes, and judges them on episodes that were left out.

    python tests/benchmarks/place_fit.py EPISODE_DIR... [--judge EPISODE_DIR...] [--write] [--pull 0.05]

Every EPISODE_DIR holds transcript.vtt, parts.csv and gold.json. The model is the one that placement runs (`place/hand.py`,
`place/score.py`): the part in hand is hidden, and what the annotation says of each measure is seen. The weights that explain it best are
found by L-BFGS, pulled towards the priors in `place_prior.toml`, which say what a maker would expect. With --folds, every episode is
judged by weights that were fitted without it. --write renews `place/weights.toml`.
"""

from __future__ import annotations

import argparse
import sys
import tomllib
from collections.abc import Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from statistics import mean
from typing import Any

import numpy as np
from msgspec import Struct
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

sys.path.insert(0, str(Path(__file__).resolve().parent))
sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "place"))
sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "findings"))

from bench_talk import transcript_of
from place_episodes import Episode, load_episode, places_of, score_places
from situation_files import Situation, situations

from benchscribe.measures.stage import find_measures
from benchscribe.mentions import Vocabulary, find_mentions, load_vocabulary
from benchscribe.place.hand import Moves, backward, forward, moves_of
from benchscribe.place.score import name_features, recent_features
from benchscribe.place.stage import lay_out
from benchscribe.place.targets import Evidence, Target
from benchscribe.records import FIRM_DIMENSIONS, Measure

HERE = Path(__file__).resolve().parent
WEIGHTS = HERE.parent.parent / "pipeline/benchscribe/place/weights.toml"
DIFFERS = ("plan-wrong", "changed", "slip", "supplied")
DOUBT = 6.0
"""Log of how much less likely it is that the annotation and the model mean different things by one place."""
Array = Any
"""A NumPy array or a sparse matrix."""
OF_MOVES = ("move.next-row", "move.to-none", "move.from-none", "move.bought", "start.none", "hand.bought")


class Compiled(Struct):
    """One episode as arrays."""

    held: Array
    """Targets x features, where the target's part is in hand or it asks for none."""
    away: Array
    """The same for a size of a part that is not in hand."""
    by_held: Array
    by_away: Array
    """Targets x states: which of the two counts."""
    by_bought: Array
    """Targets x states: an unlisted size while hardware is in hand."""
    gold: Array
    """Targets x states: what the annotation allows."""
    starts: Array
    """The first target of each measure."""
    block_of: Array
    """The measure of each target."""
    segments: Array
    """The passage of each measure."""
    names: list[tuple[int, int, dict[int, float]]]
    moves: list[dict[str, float]]
    move_matrix: Array
    bought: list[bool]
    states: int


class Table:
    """Numbers the features."""

    def __init__(self) -> None:
        """Begin with those that every episode has."""
        self.number: dict[str, int] = {name: i for i, name in enumerate(OF_MOVES)}

    def row(self, features: Mapping[str, float]) -> dict[int, float]:
        return {self.number.setdefault(name, len(self.number)): value for name, value in features.items()}


def matrix(rows: Sequence[dict[int, float]], width: int) -> Array:
    data = [v for row in rows for v in row.values()]
    columns = [c for row in rows for c in row]
    starts = np.cumsum([0, *(len(row) for row in rows)])
    return csr_matrix((data, columns, starts), shape=(len(rows), width))


def compile_episode(episode: Episode, table: Table, wanted: Sequence[str] | None = None) -> Compiled:
    plan = episode.part_list
    bench, segments = lay_out(
        episode.transcript, episode.measures, episode.trade_numbers, episode.mentions, plan
    )
    evidence = Evidence(bench)
    states = len(plan.parts) + 1
    truths = places_of(episode) if episode.gold else {}
    segment_of = {i: row for row, segment in enumerate(segments) for i in segment.measures}
    held: list[dict[int, float]] = []
    away: list[dict[int, float]] = []
    starts, sizes, masks, golds = [], [], [], []
    for index in range(len(episode.measures)):
        targets = evidence.targets(index)
        starts.append(len(held))
        sizes.append(len(targets))
        held += [table.row(t.features) for t in targets]
        away += [table.row(t.features | t.away) for t in targets]
        masks.append(counted(targets, [p.hardware for p in plan.parts]))
        gold = allowed(targets, truths[index], episode, states, bench) if index in truths else None
        if wanted is not None:
            gold = told(targets, wanted, episode.measures[index], bench, states)
        golds.append(np.ones((len(targets), states), dtype=bool) if gold is None else gold)
    names = [
        (row, part, table.row(features))
        for row, segment in enumerate(segments)
        for part, features in name_features(segment.namings, states).items()
    ]
    names += [
        (row, part, table.row(features))
        for row, recent in enumerate(recent_features(segments))
        for part, features in recent.items()
    ]
    for s in segments:
        table.row(s.move)
    return Compiled(
        held, away, np.concatenate([m[0] for m in masks]), np.concatenate([m[1] for m in masks]),
        np.concatenate([m[2] for m in masks]), np.concatenate(golds),
        np.array(starts), np.repeat(np.arange(len(sizes)), sizes), np.array([segment_of[i] for i in range(len(sizes))]),
        names, [s.move for s in segments], None, [p.hardware for p in plan.parts], states,
    )  # fmt: skip


def counted(targets: Sequence[Target], bought: Sequence[bool]) -> Array:
    """Say with which part in hand a target is weighed as held, with which as away, and with which as a size of hardware."""
    by_held, by_away, by_bought = np.zeros((3, len(targets), len(bought) + 1), dtype=bool)
    for k, target in enumerate(targets):
        if target.kind == "none":
            by_held[k] = True
        elif target.kind == "hand":
            by_held[k, :-1] = True
            by_bought[k, :-1] = bought
        else:
            by_away[k] = True
            by_away[k, target.part] = False
            by_held[k, target.part] = target.kind == "slot"
    return by_held, by_away, by_bought


def compile_situation(case: Situation, table: Table, vocabulary: Vocabulary) -> Compiled | None:
    """Compile a short situation: what it must give says where some sizes belong, and where none of them disagrees."""
    transcript = transcript_of(case.text)
    measures, numbers = find_measures(transcript, case.part_list.units, case.part_list)
    if not measures:
        return None
    mentions = find_mentions(transcript, case.part_list, measures, vocabulary)
    episode = Episode(case.name, transcript, measures, numbers, mentions, case.part_list, {})
    return compile_episode(episode, table, case.wanted)


def told(
    targets: Sequence[Target], wanted: Sequence[str], measure: Measure, bench: Array, states: int
) -> Array:
    """Say which targets go with the findings that a situation must give: a size found to differ is of that part, and no other differs."""
    rows = [[cell.strip() for cell in line.split("|")] for line in wanted]
    if any(kind == "contradiction" for kind, *_ in rows):
        return None
    values = {
        (kind, part, dimension)
        for kind, part, dimension, value in rows
        if value and total_of(value) == measure.value
    }
    found = np.zeros((len(targets), states), dtype=bool)
    for k, target in enumerate(targets):
        if target.kind != "slot":
            found[k] = not any(kind in DIFFERS for kind, _, _ in values)
            continue
        slot = bench.slots[target.slot]
        name = bench.part_list.parts[slot.part].name
        wants = any(
            kind in DIFFERS and (part, dimension) == (name, slot.dimension)
            for kind, part, dimension in values
        )
        found[k] = wants or (bool(target.how) and not values)
    return found if found.any() else None


def total_of(value: str) -> Fraction:
    return sum(map(Fraction, value.split()), Fraction(0))


def allowed(
    targets: Sequence[Target], truth: dict[str, Any], episode: Episode, states: int, bench: Array
) -> Array:
    """Say which targets, with which part in hand, are what the annotation says; None where none of them can be."""
    name = truth.get("part")
    parts = {p.name: i for i, p in enumerate(episode.part_list.parts)}
    if name and name not in parts:
        return None
    part = parts[name] if name else None
    strict, loose = np.zeros((2, len(targets), states), dtype=bool)
    listed = truth["verdict"] in ("agrees", "disagrees")
    for k, target in enumerate(targets):
        if part is None:
            strict[k] = target.kind == "none"
            continue
        if target.kind == "slot":
            fits = target.part == part
            loose[k] = fits
            dimension = bench.slots[target.slot].dimension
            firm = truth["dimension"] in FIRM_DIMENSIONS
            right = dimension == truth["dimension"] if firm else dimension not in FIRM_DIMENSIONS
            blank = bench.slots[target.slot].value is None
            strict[k] = (
                fits
                and right
                and (
                    (listed and (bool(target.how) == (truth["verdict"] == "agrees")))
                    or (blank and not listed)
                )
            )
        elif target.kind == "hand":
            loose[k, part] = True
            strict[k, part] = not listed and truth.get("role") != "supplied"
        elif target.kind == "named":
            loose[k] = target.part == part
            strict[k] = loose[k] & (not listed)
    if strict.any():
        return strict
    return loose if loose.any() else None


def finish(compiled: Compiled, table: Table) -> None:
    width = len(table.number)
    compiled.held, compiled.away = matrix(compiled.held, width), matrix(compiled.away, width)
    compiled.move_matrix = matrix([table.row(m) for m in compiled.moves], width)


def log_chance(episode: Compiled, w: Array, table: Table, *, gold: bool) -> tuple[float, Array]:
    """Give the log of the summed weights, of all explanations or of those that the annotation allows, and its gradient."""
    grad = np.zeros_like(w)
    rows = len(episode.moves)
    unary = np.zeros((rows, episode.states))
    s_held, s_away = (episode.held @ w)[:, None], (episode.away @ w)[:, None]
    table_ = np.where(episode.by_held, s_held, np.where(episode.by_away, s_away, -np.inf))
    table_ = table_ + w[table.number["hand.bought"]] * episode.by_bought
    if gold:
        table_ = table_ - DOUBT * ~episode.gold
    peak = np.maximum.reduceat(table_, episode.starts, axis=0)
    table_ = np.exp(table_ - peak[episode.block_of])
    sums = np.add.reduceat(table_, episode.starts, axis=0)
    table_ /= sums[episode.block_of]
    np.add.at(unary, episode.segments, np.log(sums) + peak)
    for row, part, features in episode.names:
        unary[row, part] += sum(w[i] * v for i, v in features.items())
    top = unary.max(axis=1)
    likely = np.exp(unary - top[:, None])
    named = {name: float(w[i]) for name, i in table.number.items()}
    moves = moves_of(episode.moves, episode.bought, named)
    ahead, later = forward(likely, moves), backward(likely, moves)
    both = ahead * later
    both /= both.sum(axis=1, keepdims=True)
    total = float(top.sum()) + chain_moves(episode, likely, ahead, later, moves, table, grad)
    grad[table.number["start.none"]] += both[0, -1] - moves.start[-1]
    share = table_ * both[episode.segments][episode.block_of]
    grad += episode.held.T @ (share * episode.by_held).sum(axis=1)
    grad += episode.away.T @ (share * episode.by_away).sum(axis=1)
    grad[table.number["hand.bought"]] += float((share * episode.by_bought).sum())
    for row, part, features in episode.names:
        for i, v in features.items():
            grad[i] += both[row, part] * v
    return total, grad


def chain_moves(
    episode: Compiled, likely: Array, ahead: Array, later: Array, moves: Moves, table: Table, grad: Array
) -> float:
    total = float(np.log((moves.start * likely[0]).sum()))
    number = table.number
    bought = np.array(episode.bought, dtype=bool)
    jumps = np.zeros(len(likely))
    for row in range(1, len(likely)):
        before, seen, f = ahead[row - 1], likely[row] * later[row], moves.any_part[row]
        held, none = before[:-1].sum(), before[-1]
        arrive = float(moves.welcome @ seen[:-1])
        stay = float(before @ seen)
        anywhere, left = f * held * arrive, f * moves.from_none * none * arrive
        along = f * moves.next_row * float(before[:-2] @ seen[1:-1]) if len(before) > 2 else 0.0
        gone = f * moves.to_none * held * seen[-1]
        whole = stay + anywhere + left + along + gone
        jumps[row] = (anywhere + left + along + gone) / whole
        grad[number["move.next-row"]] += along / whole
        grad[number["move.to-none"]] += gone / whole
        grad[number["move.from-none"]] += left / whole
        if bought.any() and arrive:
            share = float((moves.welcome * seen[:-1])[bought].sum()) / arrive - float(
                moves.welcome[bought].sum()
            )
            grad[number["move.bought"]] += share * (anywhere + left) / whole
        now = before.copy()
        now[:-1] = before[:-1] + f * moves.welcome * (held + moves.from_none * none)
        now[1:-1] += f * moves.next_row * before[:-2]
        now[-1] = none + f * moves.to_none * held
        total += float(np.log((now * likely[row]).sum()))
    grad += episode.move_matrix.T @ jumps
    return total


def fit(
    episodes: Sequence[Compiled], table: Table, prior: Mapping[str, float], pull: float, steps: int = 60
) -> dict[str, float]:
    names = sorted(table.number, key=table.number.__getitem__)
    start = np.array([prior_of(name, prior) for name in names])

    def loss(w: Array) -> tuple[float, Array]:
        value, grad = 0.0, np.zeros_like(w)
        for episode in episodes:
            free, by_free = log_chance(episode, w, table, gold=False)
            seen, by_seen = log_chance(episode, w, table, gold=True)
            value += free - seen
            grad += by_free - by_seen
        away = w - start
        return value + pull / 2 * float(away @ away), grad + pull * away

    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": steps})
    return dict(zip(names, (float(x) for x in found.x), strict=True))


def prior_of(name: str, prior: Mapping[str, float]) -> float:
    """Give the prior of a feature: its own, or that of the longest beginning or end that the file has one for."""
    if name in prior:
        return prior[name]
    fitting = [
        k
        for k in prior
        if (k.endswith("*") and name.startswith(k[:-1])) or (k.startswith("*") and name.endswith(k[1:]))
    ]
    return prior[max(fitting, key=len)] if fitting else 0.0


def write(weights: Mapping[str, float], folders: Sequence[Path], pull: float) -> None:
    lines = [
        "# Weights of the features of placement, as logarithms. Written by tests/benchmarks/place_fit.py; do not edit by hand.",
        f"# Fitted on {len(folders)} annotated episodes, pulled to tests/benchmarks/place_prior.toml with {pull:g}:",
        f"# {', '.join(sorted(f.name for f in folders))}.",
        "",
        "[weights]",
    ]
    lines += [f'"{name}" = {weight:.3f}' for name, weight in sorted(weights.items()) if abs(weight) >= 0.0005]
    WEIGHTS.write_text("\n".join(lines) + "\n", encoding="utf-8")


def main() -> None:
    """Fit, judge, and write where asked."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--judge", nargs="*", type=Path, default=[])
    parser.add_argument("--pull", type=float, default=1.0)
    parser.add_argument("--write", action="store_true")
    parser.add_argument(
        "--folds", type=int, default=0, help="judge every episode by weights fitted without its fold"
    )
    options = parser.parse_args()
    prior = tomllib.loads((HERE / "place_prior.toml").read_text(encoding="utf-8"))["prior"]
    vocabulary = load_vocabulary()
    table = Table()
    episodes = [load_episode(folder, vocabulary) for folder in options.folders]
    compiled = [compile_episode(e, table) for e in episodes]
    short = [c for case in situations() if (c := compile_situation(case, table, vocabulary)) is not None]
    for one in (*compiled, *short):
        finish(one, table)
    weights = fit([*compiled, *short], table, prior, options.pull) | {
        "none-counts": prior.get("none-counts", 1.0)
    }
    if options.write:
        write(weights, options.folders, options.pull)
    show("fitted on all", episodes, [weights] * len(episodes))
    if options.judge:
        others = [load_episode(folder, vocabulary) for folder in options.judge]
        show("judged unseen", others, [weights] * len(others))
    if options.folds:
        counts = {"none-counts": prior.get("none-counts", 1.0)}
        by_fold = []
        for fold in range(options.folds):
            kept = [c for j, c in enumerate(compiled) if j % options.folds != fold] + short
            by_fold.append(fit(kept, table, prior, options.pull) | counts)
        show("each left out", episodes, [by_fold[i % options.folds] for i in range(len(episodes))])


def show(title: str, episodes: Sequence[Episode], weights: Sequence[Mapping[str, float]]) -> None:
    print(f"{title:28}{'part':>8}{'dimension':>11}{'unplaced':>10}")
    rows = [score_places(e, w) for e, w in zip(episodes, weights, strict=True)]
    for episode, row in zip(episodes, rows, strict=True):
        print(f"  {episode.name:26}{row[0]:8.3f}{row[1]:11.3f}{row[2]:10.3f}")
    print(
        f"  {'mean':26}"
        + "".join(f"{mean(r[i] for r in rows):{width}.3f}" for i, width in enumerate((8, 11, 10)))
    )


if __name__ == "__main__":
    main()
