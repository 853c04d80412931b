"""``tackside bench rejudge``: all readings judged again by this version, on all cores or on a cluster."""

from __future__ import annotations

from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder, on_stderr
from tackside.cli.spreading import HERE, Spreading


def rejudge(*, spreading: Spreading = HERE) -> Outcome:
    """Judge the newest reading of every trial again; keep the verdicts that have changed.

    A run that was stopped continues where it was. Earlier verdicts are kept.
    """
    from tackside.workflow.rejudge import judge_all_again

    spreading.refuse_nonsense()
    found = judge_all_again(
        Bench.open(bench_folder(), create=False),
        workers=spreading.workers,
        cluster=spreading.cluster,
        progress=on_stderr(),
    )
    changed = [
        {
            "trial": each.now.trial,
            "grade": each.now.grade,
            "cause": each.now.cause,
            "was": {"grade": each.was.grade, "cause": each.was.cause} if each.was else None,
        }
        for each in found.changed
    ]
    text = f"Judged {found.judged} trials again; {len(changed)} came out otherwise."
    return Outcome({"judged": found.judged, "changed": changed}, text)
