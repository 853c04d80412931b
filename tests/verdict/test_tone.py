"""Black, Dmax, grey balance and steps are what was put in."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.records import Measure, PatchReading
from tackside.verdict.measures.measure import measure, near_neutral_aim, number
from tackside.verdict.measures.patch_table import patch_table
from tests.verdict.readings import reading


def measures(**look: object) -> dict[str, Measure]:
    return measure(patch_table(reading(**look)))


# Dmax and black L* of the classes' ends (docs/sources.md, S26, S27 and S35): D → Y = 10^−D → L*.
@pytest.mark.parametrize(
    ("lightness", "density"), [(9, 2.0), (4, 2.35), (18, 1.6), (15.4, 1.7), (37.8, 1.0), (26.9, 1.3)]
)
def test_dmax_goes_with_black(lightness: float, density: float) -> None:
    found = measures(black=float(lightness))
    assert number(found, "black_l") == pytest.approx(lightness, abs=1e-6)
    assert number(found, "dmax") == pytest.approx(density, abs=0.01)


# L* 16, black of FOGRA39L on coated paper (docs/sources.md, S28), and L* 31 as densities worked by hand from
# Y = ((L* + 16)/116)³ (CIE 15): (32/116)³ = 0.02099 and (47/116)³ = 0.06651.
@pytest.mark.parametrize(("lightness", "density"), [(16.0, 1.678), (31.0, 1.177)])
def test_blacks_as_densities(lightness: float, density: float) -> None:
    assert number(measures(black=lightness), "dmax") == pytest.approx(density, abs=0.001)


def test_near_neutral_aim_runs_from_paper_to_a_trace_of_it() -> None:
    # docs/sources.md, S33:
    # a*aim = a*paper·(1 − 0.85·(Lpaper − L)/(Lpaper − Lmin)): at black 0.15, halfway 0.575 of the paper's.
    paper = np.array([94.0, 2.0, -4.0])
    aim = near_neutral_aim(np.array([94.0, 55.0, 16.0]), paper, 16.0)
    np.testing.assert_allclose(aim, [(2.0, -4.0), (1.15, -2.3), (0.3, -0.6)])


def test_greys_on_their_aim_balance() -> None:
    assert number(measures(), "grey_balance_max") == pytest.approx(0, abs=0.01)


def test_a_cast_is_measured() -> None:
    found = measures(cast=(3.0, 4.0))  # 5 ΔCh at mid-grey
    assert number(found, "grey_balance_max") == pytest.approx(5, abs=0.15)
    assert 1 < (number(found, "grey_balance_mean") or 0) < 5


def test_closed_shadows_are_found_where_they_close() -> None:
    open_, closed = measures(), measures(closed=0.16)
    assert (number(open_, "shadow_opens_at") or 1) < 0.07
    assert number(closed, "shadow_opens_at") == pytest.approx(0.2, abs=0.001)
    assert (number(closed, "shadow_steps") or 0) < (number(open_, "shadow_steps") or 0)


def test_noise_hides_steps() -> None:
    still, noisy = measures(sd=0.05), measures(sd=6.0)
    assert (number(noisy, "shadow_steps") or 0) < (number(still, "shadow_steps") or 0)


def test_a_reversed_step_is_counted_once() -> None:
    sound = reading()
    greys = sorted((p for p in sound.patches if p.rgb and len(set(p.rgb)) == 1), key=lambda p: p.lab[0])
    low, high = greys[8], greys[9]
    swapped = {low.name: high.lab, high.name: low.lab}
    patches = tuple(p.model_copy(update={"lab": swapped.get(p.name, p.lab)}) for p in sound.patches)
    broken = measure(patch_table(sound.model_copy(update={"patches": patches})))
    assert number(measure(patch_table(sound)), "reversals") == 0
    assert number(broken, "reversals") == 1


def test_what_was_not_read_is_not_measured() -> None:
    few = (
        PatchReading(name="w", rgb=(1, 1, 1), lab=(95, 0, -2)),
        PatchReading(name="k", rgb=(0, 0, 0), lab=(16, 0, 0)),
    )
    found = measure(patch_table(reading().model_copy(update={"patches": few})))
    assert set(found) == {"paper_lab", "black_l", "black_lab", "dmax", "l_range"}
