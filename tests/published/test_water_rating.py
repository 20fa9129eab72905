"""Stage and discharge against published ratings and recorded floods."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from atlas.water import fit_rating, interpolate_rating

FT_M, CFS_M3_S = 0.3048, 0.028316846592  # exact: NIST SP 811 (value from memory)
DATA = Path(__file__).parents[3] / "shared" / "data"
FACTS = tomllib.loads(Path(__file__).with_name("rivers.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize(("stage_ft", "discharge_cfs"), [(5.0, 249.6), (7.0, 2221.6)])
def test_rating_with_two_offsets(stage_ft, discharge_cfs):
    # USGS base rating 19.0 of gauge 12334510, provisional (points read, interpolated values computed
    # independently): offset 3.4 ft below 6.05 ft, 3.6 ft above
    discharge = interpolate_rating(
        stage_ft * FT_M,
        rating_stage_m=FT_M * np.array((4.24, 6.05, 8.95)),
        rating_discharge_m3_s=CFS_M3_S * np.array((41.26, 1021.69, 6506.63)),
        offset_m=FT_M * np.array((3.4, 3.6)),
        break_m=FT_M * np.array((6.05,)),
    )
    # printed to 0.1 cfs
    assert discharge / CFS_M3_S == pytest.approx(discharge_cfs, abs=0.1)


def _typed():
    return tuple(np.array(FACTS["patuxent"][name]) for name in ("rating", "peaks"))


def _files():
    rating = DATA / "usgs_rating_01594440_base.rdb"
    peaks = DATA / "usgs_peaks_01594440.rdb"
    if not (rating.exists() and peaks.exists()):
        pytest.skip("the public rating and peaks of USGS 01594440 are not beside this checkout")
    cells = [line.split("\t") for line in rating.read_text(encoding="utf-8").splitlines()]
    points = [(float(row[0]), float(row[1])) for row in cells if len(row) == 3 and row[2] == "*"]
    cells = [line.split("\t") for line in peaks.read_text(encoding="utf-8").splitlines()]
    floods = [(float(row[6]), float(row[4])) for row in cells if row[0] == "USGS" and row[6].strip()]
    return np.array(points), np.array(floods)


@pytest.fixture(scope="module", params=[_typed, _files], ids=["typed", "the files"])
def patuxent(request):
    """Rating points and annual peaks of USGS 01594440 as stage [ft] and discharge [cfs]."""
    return request.param()


def test_interpolated_rating_against_recorded_peaks(patuxent):
    points, floods = patuxent
    assert (len(points), len(floods)) == (11, 19)
    found = interpolate_rating(
        floods[:, 0], rating_stage_m=points[:, 0], rating_discharge_m3_s=points[:, 1], offset_m=0.0
    )
    error = np.abs(found / floods[:, 1] - 1.0)
    # USGS; interpolation on plain logarithms computed independently: median 3.8 %, greatest 12.8 %
    assert np.median(error) == pytest.approx(0.038, abs=5e-4)
    assert error.max() == pytest.approx(0.128, abs=5e-4)


def test_interpolated_with_the_ratings_own_offset(patuxent):
    points, floods = patuxent
    found = interpolate_rating(
        floods[:, 0], rating_stage_m=points[:, 0], rating_discharge_m3_s=points[:, 1], offset_m=2.0
    )
    # a rating good to 5 % is called good (USGS WSP 2175, chapter 10; value from memory); 4 % is asked
    assert np.median(np.abs(found / floods[:, 1] - 1.0)) <= 0.04


def test_fitted_rating_agrees_with_the_published_one_between_the_peaks(patuxent):
    points, floods = patuxent
    fit = fit_rating(discharge_m3_s=floods[:, 1] * CFS_M3_S, stage_m=floods[:, 0] * FT_M)
    stage_ft = np.array((14.0, 16.0, 18.0, 20.0))
    _, low, high = fit.discharge_m3_s(stage_m=stage_ft * FT_M, level=0.99)
    published = interpolate_rating(
        stage_ft, rating_stage_m=points[:, 0], rating_discharge_m3_s=points[:, 1], offset_m=2.0
    )
    # the published rating of 2015 against peaks of 2000 to 2018: inside what one more peak would show
    assert np.all(low <= published * CFS_M3_S)
    assert np.all(published * CFS_M3_S <= high)
