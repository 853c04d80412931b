"""The ceiling: how far any verdict could come on the examiner's prints, by what their readings hold.

    .venv/bin/python -m training.ceiling --way figures --count 1296 --kept ceiling/    # ten minutes on one core
    .venv/bin/python -m training.ceiling --way eye --count 960

Learners are taught on the examiner's own prints, of seeds that no figure is stated on, and judged on others that they
never saw, by works, each quarter in turn: a network of the same kind as the verdict's, and a regression that weighs the
verdict's own evidence anew. Both are given all that the verdict has: the row of figures, what the weights say, what is
known of stock and settings, the other side, lines and lengths. They are kept nowhere, and nothing ships with them.

What both get wrong is hardly in the reading; what the verdict gets wrong beyond the better one is for want of teaching.
Third parties' profiles and open data are few, so the same ones are among taught and judged: that flatters. A thousand
prints are few for a network, where the verdict's saw more than a hundred thousand: that speaks against it.
"""

from __future__ import annotations

import argparse
import os
import pickle
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import get_args

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")
sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np  # noqa: E402
from sklearn.linear_model import LogisticRegression  # noqa: E402
from sklearn.neural_network import MLPClassifier  # noqa: E402

from tackside.colour.spaces import Floats  # noqa: E402
from tackside.records import Reading  # noqa: E402
from tackside.records.verdict import Cause  # noqa: E402
from tackside.verdict.causes.diagnosis import circumstances  # noqa: E402
from tackside.verdict.causes.finding import Finding  # noqa: E402
from tackside.verdict.causes.weigh import likeliest  # noqa: E402
from tackside.verdict.classifier.answer_features import answer_features  # noqa: E402
from tackside.verdict.classifier.features import features  # noqa: E402
from tackside.verdict.classifier.likelihoods import BY_EYE, CLIPPED, FILE, STATES, trained_weights  # noqa: E402
from tackside.verdict.judge import judge_with_finding  # noqa: E402
from training.counting import calibration_error, share_accused, share_right  # noqa: E402
from training.examiner.examined import Examined, Way, examined  # noqa: E402
from training.examiner.study import BLOCK, Marked, mark_of  # noqa: E402

CAUSES: tuple[Cause, ...] = get_args(Cause)
COUNT: dict[Way, int] = {"figures": 1296, "eye": 960, "image": 96}
# The share of sound prints that may be accused at most, as it is asked.
ACCUSED = {"beside a good print": 0.01, "alone": 0.02, "eye": 0.03, "image": 0.02}
FOLDS = 4
# Lines and answers that colours don't tell; each stands with whether it was read.
_TRAITS = (
    "line_gain_horizontal",
    "line_gain_vertical",
    "line_blurriness_horizontal",
    "line_blurriness_vertical",
    "doubling_vertical",
    "mottle_mid",
    "eye_doubled_vertical",
    "eye_drag_other_side",
)
_LINES = 2 * len(_TRAITS) + 5
# The end of a row: what the weights say, their likeness, chances before and after, lines here and beside.
_EVIDENCE = len(STATES) + 1 + 2 * len(CAUSES) + 2 * _LINES


@dataclass(frozen=True, eq=False)
class Case:
    """One print: the verdict's mark, all that is known of it as figures (d,), and the block that it was drawn in."""

    mark: Marked
    row: Floats
    block: int


def cases(way: Way, count: int, seed: int, kept: Path | None) -> list[Case]:
    """So many prints of a way, drawn, read and judged; in ``kept`` drawn ones are looked for, and left."""
    found: list[Case] = []
    for block in range(-(-count // BLOCK[way])):
        for one in _drawn(way, seed, block, kept):
            verdict, finding = judge_with_finding(one.known)
            found.append(Case(mark_of(one, verdict, 0.0), _row(one, finding), block))
        print(f"{way}: {len(found)} of {count}", file=sys.stderr)
    return found


def _drawn(way: Way, seed: int, block: int, kept: Path | None) -> list[Examined]:
    path = None if kept is None else kept / f"{way}-{seed}-{block}.pkl"
    if path is not None and path.exists():
        found: list[Examined] = pickle.loads(path.read_bytes())
        return found
    prints = list(examined(way, None, BLOCK[way], seed * 10_000 + block * BLOCK[way]))
    if path is not None:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(pickle.dumps(prints))
    return prints


def _row(one: Examined, finding: Finding) -> Floats:
    """Everything that the verdict has of a print."""
    reading, trial = one.known.reading, one.known.trial
    weights = trained_weights(BY_EYE if one.way == "eye" else FILE)
    if one.way == "eye":
        assert trial is not None
        row = answer_features(reading, circumstances(reading, trial, one.known.stock, "typical"))
    else:
        found = finding.diagnosis
        assert found is not None, "a sheet without its patches"
        row = features(found.lab, found.beside, found.circumstances)
    before = [np.log(finding.weighed.before.get((cause,), 1e-9)) for cause in CAUSES]
    after = [np.log(finding.causes[cause] + 1e-6) for cause in CAUSES]
    beside = None if one.known.reference is None else one.known.reference.reading
    evidence = [weights.log_likelihoods(row), [weights.likeness(row)], before, after]
    return np.concatenate([row, *evidence, _lines(reading), _lines(beside)])


def _lines(reading: Reading | None) -> Floats:
    if reading is None:
        return np.zeros(_LINES)
    said: list[float] = []
    for name in _TRAITS:
        one = reading.attributes.get(name)
        said += [0.0, 0.0] if one is None else [one.value, 1.0]
    place = reading.placement
    off = [0.0, 0.0] if place is None else [100 * (place.scale_x - 1), 100 * (place.scale_y - 1)]
    return np.array([*said, *off, *map(abs, off), place is not None], dtype=float)


# (rows taught, places of their causes, rows judged) → chances (n, 13), in the order of CAUSES.
Learner = Callable[[Floats, Floats, Floats], Floats]


def by_network(shown: Floats, causes: Floats, asked: Floats) -> Floats:
    """A network of the verdict's own kind, on the whole row."""
    mean, sd = shown.mean(axis=0), shown.std(axis=0) + 1e-6
    standard, judged = (np.clip((rows - mean) / sd, -CLIPPED, CLIPPED) for rows in (shown, asked))
    network = MLPClassifier(
        (192, 96), alpha=0.3, batch_size=200, early_stopping=True, n_iter_no_change=5, random_state=0
    )
    noise = 0.25 * np.random.default_rng(0).standard_normal(standard.shape)
    network.fit(np.concatenate([standard, standard + noise]), np.tile(causes, 2))
    return _in_order(network.predict_proba(judged), network.classes_)


def by_regression(shown: Floats, causes: Floats, asked: Floats) -> Floats:
    """Multinomial logistic regression on the verdict's evidence: what weighing it otherwise would give."""
    mean, sd = shown[:, -_EVIDENCE:].mean(axis=0), shown[:, -_EVIDENCE:].std(axis=0) + 1e-6
    taught, judged = (
        np.clip((rows[:, -_EVIDENCE:] - mean) / sd, -CLIPPED, CLIPPED) for rows in (shown, asked)
    )
    regression = LogisticRegression(C=0.03, max_iter=300).fit(taught, causes)
    return _in_order(regression.predict_proba(judged), regression.classes_)


def _in_order(chances: Floats, classes: Floats) -> Floats:
    found = np.zeros((len(chances), len(CAUSES)))
    found[:, classes] = chances
    return found


LEARNERS: dict[str, Learner] = {"network": by_network, "regression": by_regression}


def judged_by(learner: Learner, some: Sequence[Case]) -> Floats:
    """Chances (n, 13) of each case by a learner taught on the other quarters."""
    rows, fold = np.array([case.row for case in some]), np.array([case.block % FOLDS for case in some])
    causes = np.array([CAUSES.index(case.mark.truth[0]) for case in some])
    # A fault that moved nothing has no name: nothing is to be learnt of it.
    serves = np.array([case.mark.counts for case in some])
    found = np.zeros((len(some), len(CAUSES)))
    for held in range(FOLDS):
        taught = serves & (fold != held)
        found[fold == held] = learner(rows[taught], causes[taught], rows[fold == held])
    return found


def _remarked(mark: Marked, chances: Floats, sound_first: float = 1.0) -> Marked:
    """As a verdict of these chances is marked that names a fault only where it is so much likelier than none."""
    causes = dict(zip(CAUSES, chances.tolist(), strict=True))
    named = likeliest({**causes, "none": causes["none"] * sound_first})
    return replace(mark, cause=named, probability=causes[named])


def _held_to(marks: Sequence[Marked], chances: Floats, most: float) -> float:
    """Share right of the moved, where sound prints come first so far that no more than ``most`` of them are accused."""
    best = 0.0
    for weight in np.exp(np.linspace(-3.0, 6.0, 37)):
        leaning = [_remarked(mark, own, float(weight)) for mark, own in zip(marks, chances, strict=True)]
        if share_accused(leaning)[0] <= most:
            best = max(best, share_right(leaning)[0])
    return best


def table(way: Way, some: Sequence[Case]) -> str:
    """Rows of one way, the verdict as it is and each learner, and of each fault."""
    kinds: dict[str, Callable[[Marked], bool]] = {way: lambda one: True}
    if way == "figures":
        kinds = {
            "beside a good print": lambda one: one.beside != "none",
            "alone": lambda one: one.beside == "none",
        }
    learnt = {name: judged_by(learner, some) for name, learner in LEARNERS.items()}
    marks = {"verdict": [case.mark for case in some]}
    marks |= {
        name: [_remarked(case.mark, own) for case, own in zip(some, chances, strict=True)]
        for name, chances in learnt.items()
    }
    lines = []
    for kind, holds in kinds.items():
        at = [place for place, case in enumerate(some) if holds(case.mark)]
        for name, all_marks in marks.items():
            its, held = [all_marks[place] for place in at], ""
            if name in learnt:
                held = f"{100 * _held_to(its, learnt[name][at], ACCUSED[kind]):.1f} %"
            lines.append(_line(f"{kind}: {name}", its, held))
    lines += ["", f"| fault | moved | {' | '.join(marks)} |", "| --- " * (2 + len(marks)) + "|"]
    for cause in CAUSES:
        at = [place for place, case in enumerate(some) if cause in case.mark.truth and case.mark.counts]
        if at:
            shares = (100 * float(np.mean([its[place].is_right for place in at])) for its in marks.values())
            lines.append(f"| {cause} | {len(at)} | {' | '.join(f'{share:.0f} %' for share in shares)} |")
    return "\n".join(lines)


def _line(name: str, marks: Sequence[Marked], held: str) -> str:
    (right, moved), (accused, sound) = share_right(marks), share_accused(marks)
    error = calibration_error([one for one in marks if one.counts])
    return (
        f"| {name} | {len(marks)} | {100 * right:.1f} % of {moved} | {100 * accused:.1f} % of {sound} |"
        f" {error:.3f} | {held} |"
    )


HEAD = (
    "| what | prints | named right, of those moved | sound accused | ECE | right, accused as asked |\n"
    "| --- | --- | --- | --- | --- | --- |"
)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--way", choices=get_args(Way), action="append", help="each but images by default")
    parser.add_argument("--count", type=int)
    parser.add_argument("--seed", type=int, default=20262001)
    parser.add_argument("--kept", type=Path, help="a folder where drawn prints are kept for the next time")
    asked = parser.parse_args()
    print(HEAD)
    for way in asked.way or ("figures", "eye"):
        print(table(way, cases(way, asked.count or COUNT[way], asked.seed, asked.kept)), flush=True)


if __name__ == "__main__":
    main()
