"""What a card's own profile is built from: which readings go together, and which do not."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tackside.bench.store import Bench
from tackside.errors import BadInstrumentFile, BadRequest
from tackside.messages.message import Message
from tackside.press.instrument import measure
from tackside.records import Settings, Uncertainty
from tackside.records.reading import Flaw
from tackside.workflow.profiles.evidence import evidence_of, of_files, of_trials
from tackside.workflow.profiles.offered import trials_to_convert_by, why_not_built
from tackside.workflow.trials import make_trial, note_settings
from tests.profile.build.presses import chart
from tests.workflow.own_profiles import bench_with, device_trial, press_of, read_by_instrument

SATIN, CRAFT = "harbour-satin-300", "shingle-craft-250"


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return bench_with(tmp_path / "bench", SATIN, CRAFT)


def refusal(bench: Bench, *trials: str) -> Message:
    with pytest.raises(BadRequest) as refused:
        of_trials(bench, trials)
    return refused.value.message


def test_all_readings_of_a_trial_that_were_read_alike_are_averaged(bench: Bench) -> None:
    trial = device_trial(bench, SATIN)
    first, second = (read_by_instrument(bench, trial, SATIN, seed=seed) for seed in (1, 2))
    read_by_instrument(bench, trial, SATIN, seed=3, condition="M0")  # the newest alone counts of its kind
    found = of_trials(bench, [trial.id])
    assert found.condition == "M0"
    assert found.count == 1
    bench = bench_with(bench.folder.parent / "other", SATIN)
    trial = device_trial(bench, SATIN)
    first, second = (read_by_instrument(bench, trial, SATIN, seed=seed) for seed in (1, 2))
    found = of_trials(bench, [trial.id])
    assert set(found.readings) == {first.id, second.id}
    assert (found.count, found.condition) == (2, "M1")
    assert len(found.measured.device) == 2 * len(trial.sheet.patches)
    assert found.title == "Harbour Satin 300, Tern 8"
    assert found.measured.names[0].endswith(f"({found.readings[0]})")


def test_the_key_is_that_of_the_patches(bench: Bench) -> None:
    one, two = (device_trial(bench, SATIN) for _ in range(2))
    read_by_instrument(bench, one, SATIN, seed=1)
    read_by_instrument(bench, two, SATIN, seed=2)
    keys = [of_trials(bench, trials).key for trials in ([one.id], [one.id], [two.id], [one.id, two.id])]
    assert keys[0] == keys[1]
    assert len(set(keys)) == 3


def test_two_cards_are_not_mixed(bench: Bench) -> None:
    satin, craft = device_trial(bench, SATIN), device_trial(bench, CRAFT)
    read_by_instrument(bench, satin, SATIN)
    read_by_instrument(bench, craft, CRAFT)
    assert refusal(bench, satin.id, craft.id).code == "own-profile.cards-mixed"
    other = device_trial(bench, SATIN)
    read_by_instrument(bench, other, SATIN)
    note_settings(bench, satin.id, Settings(media_setting="Satin"))
    note_settings(bench, other.id, Settings(media_setting="Matt"))
    assert refusal(bench, satin.id, other.id).code == "own-profile.settings-mixed"


def test_two_ways_to_measure_are_not_mixed(bench: Bench) -> None:
    one, two = (device_trial(bench, SATIN) for _ in range(2))
    read_by_instrument(bench, one, SATIN, condition="M0")
    read_by_instrument(bench, two, SATIN, condition="M1")
    assert refusal(bench, one.id, two.id).code == "own-profile.measured-in-two-ways"


def test_a_sheet_through_colour_management_is_refused(bench: Bench) -> None:
    trial = make_trial(bench, "Harbour Satin 300", "Tern 8").trial
    read_by_instrument(bench, trial, SATIN)
    assert refusal(bench, trial.id).code == "own-profile.through-management"
    note_settings(bench, trial.id, Settings(colour_managed_by="nobody"))
    assert of_trials(bench, [trial.id]).count == 1  # its numbers were the printer's after all


@pytest.mark.parametrize(
    ("key", "taken"),
    [
        ("scan | file 0", False),
        ("scan | device Desk scanner | 300 ppi", False),
        ("scan | told A B | 300 ppi", False),
        ("scan | scanner Desk | 300 ppi", True),
        ("colorimetric", True),
    ],
)
def test_a_scanner_must_be_characterised(bench: Bench, key: str, taken: bool) -> None:
    trial = device_trial(bench, SATIN)
    trust = Uncertainty(de00=4.5, basis="a scan", comparable_with=key)
    read_by_instrument(bench, trial, SATIN, kind="scan", condition=None, uncertainty=trust)
    if taken:
        assert of_trials(bench, [trial.id]).condition is None
    else:
        told = refusal(bench, trial.id)
        assert (told.code, told.value("uncertainty")) == ("own-profile.scanner-unknown", 4.5)
        assert "characterise" in str(told)


def test_an_unfit_reading_is_refused_with_its_reason(bench: Bench) -> None:
    trial = device_trial(bench, SATIN)
    why = Message("scan.photograph-by-tags", file="phone.jpg")
    flaw = Flaw(code=why.code, degree=1.0)
    read_by_instrument(bench, trial, SATIN, flaws=(flaw,), notices=(why,))
    told = refusal(bench, trial.id)
    assert told == Message("own-profile.unfit-as", trial=trial.id, why=why)
    assert why_not_built(bench, trial.id) == told


def test_files_alone_need_no_bench(tmp_path: Path) -> None:
    numbers = chart(200)
    for name, seed in (("a.txt", 1), ("b.txt", 2)):
        (tmp_path / name).write_bytes(measure(press_of(SATIN), numbers, seed=seed))
    found = of_files([tmp_path / "a.txt", tmp_path / "b.txt"])
    assert (found.count, found.title, found.condition, found.card) == (2, "a", "M1", None)
    assert found.measured.device == pytest.approx(np.vstack([numbers, numbers]), abs=1e-6)
    with pytest.raises(BadRequest):
        evidence_of(None, (), ())
    with pytest.raises(BadRequest):
        evidence_of(None, ("1VE8J44M",), (tmp_path / "a.txt",))


def test_a_file_without_device_numbers_or_colours_is_refused(tmp_path: Path) -> None:
    whole = measure(press_of(SATIN), chart(200), columns="lab").decode()
    bare = tmp_path / "bare.txt"
    bare.write_text(whole.replace("RGB_R", "OTHER_R").replace("RGB_G", "OTHER_G").replace("RGB_B", "OTHER_B"))
    with pytest.raises(BadRequest) as refused:
        of_files([bare])
    assert refused.value.message.code == "profile.no-device-numbers"
    bare.write_text(whole.replace("LAB_L", "OTHER_L"))
    with pytest.raises(BadInstrumentFile):
        of_files([bare])


def test_pages_offer_trials_that_a_profile_can_be_built_from(bench: Bench) -> None:
    bare, managed = device_trial(bench, SATIN), make_trial(bench, "Harbour Satin 300", "Tern 8").trial
    assert trials_to_convert_by(bench, "Harbour Satin 300", "Tern 8") == ()
    for trial in (bare, managed):
        read_by_instrument(bench, trial, SATIN)
    assert [each.id for each in trials_to_convert_by(bench, "Harbour Satin 300", "Tern 8")] == [bare.id]
    assert why_not_built(bench, bare.id) is None
    short = device_trial(bench, SATIN)
    reading = read_by_instrument(bench, short, SATIN, seed=5)
    few = reading.model_copy(update={"patches": reading.patches[:40], "source_sha256": "1" * 64})
    other = device_trial(bench, SATIN)
    bench.readings.add(few.model_copy(update={"trial": other.id}))
    told = why_not_built(bench, other.id)
    assert told is not None
    assert told.code == "profile-build.too-few-patches"
