"""No command dies of the encoding of the terminal, and JSON loses no sign by it."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import pyvips

from tackside.bench.store import Bench
from tackside.cli.main import NEAREST, main, write_whatever_comes
from tackside.press.printer.stock_model import matt_coated
from tests.bench import invented
from tests.profile.card_profiles import press_profile
from tests.verdict import readings

TRIAL = "2B4C6D8E"
ENCODINGS = ("cp1252", "ascii", "cp437", "latin-1")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(invented.stock(name="Möwe − Ølberg 300"))
    bench.printers.add(invented.printer())
    trial = readings.trial(name=TRIAL).model_copy(update={"stock": "Möwe − Ølberg 300"})
    bench.trials.add(trial)
    bench.readings.add(readings.reading(black=31.0, chroma=0.5, cast=(2.0, -6.0), more={"trial": TRIAL}))
    pixels = np.random.default_rng(3).integers(0, 255, (60, 80, 3), dtype=np.uint8)
    pyvips.Image.new_from_array(pixels).copy(interpretation="srgb").write_to_file(str(tmp_path / "sea.png"))
    (tmp_path / "card.icc").write_bytes(press_profile(matt_coated()))
    (tmp_path / "chart.txt").write_text(chart())
    return tmp_path


def chart() -> str:
    rows = "\n".join(
        f"{patch.name} " + " ".join(f"{255 * each:.4f}" for each in patch.rgb or ()) + " 50.0 1.5 -2.5"
        for patch in readings.reading().patches
    )
    count = len(readings.reading().patches)
    fields = "SAMPLE_NAME RGB_R RGB_G RGB_B LAB_L LAB_A LAB_B"
    return (
        f"CGATS.17\nNUMBER_OF_FIELDS 7\nBEGIN_DATA_FORMAT\n{fields}\nEND_DATA_FORMAT\n"
        f"NUMBER_OF_SETS {count}\nBEGIN_DATA\n{rows}\nEND_DATA\n"
    )


def told(monkeypatch: pytest.MonkeyPatch, encoding: str, *arguments: object) -> tuple[int, str, str]:
    """What a call writes to streams of that encoding, which refuse what they lack."""
    out, err = io.BytesIO(), io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(out, encoding=encoding, write_through=True))
    monkeypatch.setattr(sys, "stderr", io.TextIOWrapper(err, encoding=encoding, write_through=True))
    code = main([str(each) for each in arguments])
    return code, out.getvalue().decode(encoding), err.getvalue().decode(encoding)


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_each_command_is_written_in_any_encoding(
    folder: Path, monkeypatch: pytest.MonkeyPatch, encoding: str
) -> None:
    bench = ("--bench", folder / "bench")
    stock = "Möwe − Ølberg 300"
    for arguments in (
        ("fit", stock, "Tern 8"),
        ("judge", TRIAL),
        ("judge", TRIAL, "--full"),
        ("trial", "list"),
        ("stock", "show", stock),
        ("proof", folder / "sea.png", "--profile", folder / "card.icc", "--out", folder / f"{encoding}.png"),
        ("choose", folder / "sea.png"),
        ("--help",),
    ):
        code, out, err = told(monkeypatch, encoding, *bench, *arguments)
        assert code == 0, (arguments, err)
        assert out.strip(), arguments
        assert "fault of Tackside" not in err
    # What a file cannot give is a refusal in one line, not a crash.
    code, _, err = told(monkeypatch, encoding, *bench, "read", TRIAL, folder / "chart.txt")
    assert code in (0, 2)
    assert "fault of Tackside" not in err


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_json_is_the_same_in_any_encoding(
    folder: Path, monkeypatch: pytest.MonkeyPatch, encoding: str
) -> None:
    bench = ("--bench", folder / "bench")
    for arguments in (("fit", "Möwe − Ølberg 300", "Tern 8", "--json"), ("stock", "list", "--json")):
        _, plain, _ = told(monkeypatch, "utf-8", *bench, *arguments)
        _, other, _ = told(monkeypatch, encoding, *bench, *arguments)
        assert json.loads(other) == json.loads(plain)
    judged = [
        json.loads(told(monkeypatch, each, *bench, "judge", TRIAL, "--json")[1])
        for each in ("utf-8", encoding)
    ]
    assert judged[0]["reasons"] == judged[1]["reasons"]
    assert "−" in str(judged[1]["reasons"])


def test_what_is_lacking_is_written_in_the_nearest_signs(monkeypatch: pytest.MonkeyPatch) -> None:
    for encoding, given, shown in (
        ("cp1252", "L* −3.2 ± 1 ≤ 5 ΔE", "L* -3.2 ± 1 <= 5 dE"),
        ("ascii", "Möwe, 5 µm × 2 … 漢", "Moewe, 5 um x 2 ... ?"),
        ("utf-8", "Möwe − 漢", "Möwe − 漢"),
    ):
        out = io.BytesIO()
        stream = io.TextIOWrapper(out, encoding=encoding, write_through=True)
        monkeypatch.setattr(sys, "stdout", stream)
        write_whatever_comes()
        stream.write(given)
        assert out.getvalue().decode(encoding) == shown
    assert all(near.isascii() and len(sign) == 1 for sign, near in NEAREST.items())


@pytest.mark.slow
def test_a_process_of_its_own_with_python_told_so(folder: Path) -> None:
    for encoding in ("cp1252", "ascii"):
        done = subprocess.run(
            [sys.executable, "-m", "tackside", "--bench", str(folder / "bench"), "judge", TRIAL],
            capture_output=True, env={**os.environ, "PYTHONIOENCODING": encoding}, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        assert done.stdout.decode(encoding).count("\n") <= 10
