"""How good a built profile is, worked out from its own tables: said beside the noise of the readings."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.gamut import grid_volume
from tackside.colour.spaces import WHITE_D50, Floats, lab_to_xyz, xyz_to_lab
from tackside.profile.build.measured import AveragedPatches
from tackside.profile.build.surface import ColourSurface
from tackside.profile.build.tables import HELD, Forward
from tackside.profile.device.device_model import fit_device_model
from tackside.profile.icc.exact import device_of_lab, lab_of_device
from tackside.profile.icc.inspect import contents, read_tags
from tackside.profile.icc.ramps import RGB_ENDS, STEPS
from tackside.profile.icc.tables import read_table
from tackside.records.assets import ProfileQuality

SENT_ROUND = 5000
GREYS = 256
EVENLY_GREY = np.linspace(0, 1, GREYS)


def quality_of(
    profile: bytes, forward: Forward, surface: ColourSurface, patches: AveragedPatches
) -> ProfileQuality:
    """The figures of ``profile``, whose relative tables are read back from it; ``forward`` is what they are made of."""
    held_tags = contents(read_tags(profile))
    there, back = read_table(held_tags["A2B1"]), read_table(held_tags["B2A1"])

    def colours(device: Floats) -> Floats:
        return lab_of_device(there, device)

    def printed(lab: Floats) -> Floats:
        return colours(device_of_lab(back, lab))

    held = colours(np.random.default_rng(5).random((SENT_ROUND, 3)))
    trip = delta_e_2000(printed(held), held)
    fit = delta_e_2000(surface.at(patches.device), patches.lab)
    left_out = delta_e_2000(surface.left_out, patches.lab)
    bends = {name: _largest_bend(colours, np.array(end, dtype=float)) for name, end in RGB_ENDS.items()}
    worst = max(bends, key=lambda name: bends[name])
    lightness = colours(np.repeat(EVENLY_GREY[:, None], 3, axis=1))[:, 0]
    # As ``gamut`` draws a reading's solid: by the plain model, which knows nothing of this fit.
    readings = fit_device_model(patches.device, patches.lab).solid
    absolute = xyz_to_lab(lab_to_xyz(forward.lab) * (forward.white_xyz / WHITE_D50))
    return ProfileQuality(
        patches=len(patches.device),
        noise=float(np.linalg.norm(surface.noise)),
        noise_measured=patches.sure_of_noise < 0.5,
        fit_median=float(np.median(fit)),
        fit_p95=float(np.percentile(fit, 95)),
        left_out_median=float(np.median(left_out)),
        left_out_p95=float(np.percentile(left_out, 95)),
        round_trip_median=float(np.median(trip)),
        round_trip_p99=float(np.percentile(trip, 99)),
        largest_bend=bends[worst],
        bend_ramp=worst,
        grey_hue_swing=_hue_swing(forward, printed, float(lightness.min())),
        grey_steps_back=int(np.count_nonzero(np.diff(lightness) < 0)),
        grey_straightened=forward.straightened,
        gamut_volume=grid_volume(absolute),
        readings_volume=readings.volume,
        readings_volume_method=readings.method,
        white_lab=_triple(absolute[-1, -1, -1]),
        black_lab=_triple(absolute[0, 0, 0]),
    )


def _largest_bend(colours: Callable[[Floats], Floats], end: Floats) -> float:
    ramp = colours(1 + np.linspace(0, 1, STEPS + 1)[:, None] * (end - 1))
    return float(np.linalg.norm(ramp[:-2] - 2 * ramp[1:-1] + ramp[2:], axis=1).max())


def _hue_swing(forward: Forward, printed: Callable[[Floats], Floats], black_l: float) -> float:
    """Near black and paper a neutral may be beyond the gamut, whatever the table says: those count as nothing."""
    asked = np.column_stack([black_l + EVENLY_GREY * (100 - black_l), np.zeros((GREYS, 2))])
    held = np.linalg.norm(forward.at(forward.nearest(asked)) - asked, axis=1) < HELD
    greys = printed(asked[held])
    return float(np.hypot(greys[:, 1], greys[:, 2]).max(initial=0.0))


def _triple(lab: Floats) -> tuple[float, float, float]:
    return float(lab[0]), float(lab[1]), float(lab[2])
