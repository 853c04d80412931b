"""Every command with ``--json``: one document on standard output, or one line on standard error; in any encoding."""

from __future__ import annotations

import json
import shlex
from pathlib import Path

import pytest

from tackside.cli.examples import EXAMPLES
from tests.cli.bench_of_examples import SATIN, TERN
from tests.cli.test_encoding import TRIAL, folder, told  # noqa: F401  the fixture

# Those that wait for somebody, for the network, or take minutes; each has tests of its own.
ELSEWHERE = {
    "demo",
    "start",
    "printer find",
    "printer ask",
    "scan",
    "run send",
    "bench move",
    "profile install",
}
DO_THEIR_WORK = {
    "stock add", "stock list", "stock show", "stock schema", "printer add", "printer list", "printer show", "fit",
    "sheet", "placement", "trial list", "trial show", "judge", "picture check", "profile list", "scanner list",
    "card new", "run list", "run ink", "bench show", "bench backup",
}  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("encoding", ["ascii"])  # where it fits, it fits UTF-8
def test_every_command_prints_one_document(
    folder: Path,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
    encoding: str,
) -> None:
    monkeypatch.chdir(folder)
    for name, source in (
        ("harbour-satin-300.toml", SATIN),
        ("plover-matt-230.toml", SATIN),
        ("tern-8.toml", TERN),
    ):
        (folder / name).write_bytes(source.read_bytes())
    (folder / "sea.png").rename(folder / "boats.jpg")
    done = set()
    for command, example in EXAMPLES.items():
        if command in ELSEWHERE:
            continue
        words = [TRIAL if word == "3K1P86AA" else word for word in shlex.split(example)]
        code, out, err = told(monkeypatch, encoding, "--bench", folder / "bench", *words, "--json")
        assert code in (0, 2), (command, err)
        assert "fault of Tackside" not in err, (command, err)
        if out:
            assert isinstance(json.loads(out), dict), command
        if code == 0:
            assert out, command
            done.add(command)
        else:
            assert err.startswith("tackside: ") or "\ntackside: " in err, (command, err)
    assert done >= DO_THEIR_WORK, DO_THEIR_WORK - done
