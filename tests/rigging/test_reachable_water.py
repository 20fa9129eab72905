import numpy as np
import pytest
import shapely

from atlas.faults import OutOfRange
from atlas.rigging.reachable_water import boat_places_m, mesh_ground, reach_of

FROM, TO, LEAST, MOST = 6.0, 34.0, 5.0, 22.0


def bow(at):
    """A bow as a loaded track line has it, 5 m in the middle of 40 m."""
    return 5.0 * 4.0 * at * (40.0 - at) / 40.0**2


def held(*, skew=0.0, columns=57, rows=2):
    at = np.linspace(FROM, TO, columns)
    strands = np.linspace(LEAST, MOST, rows)
    return mesh_ground(boat_places_m(at_m=at, bow_m=bow(at), strand_m=strands[:, None], skew_deg=skew))


def can_be_held(x, y, *, skew):
    """By search: some carriage place lies straight up the flow, a strand away that is allowed."""
    flow = np.array([np.sin(np.radians(skew)), np.cos(np.radians(skew))])
    at = np.linspace(FROM, TO, 4001)
    way_x, way_y = x - at, y - bow(at)
    aside = way_x * flow[1] - way_y * flow[0]
    strand = way_x * flow[0] + way_y * flow[1]
    return bool(((np.abs(aside) <= 0.006) & (strand >= LEAST - 0.006) & (strand <= MOST + 0.006)).any())


@pytest.mark.parametrize("skew", [0.0, 25.0, -40.0])
def test_against_a_brute_grid(skew):
    """Each point of a grid searched for a carriage place; those within 5 cm of the edge left out."""
    ground = held(skew=skew)
    xs, ys = np.meshgrid(np.arange(-20.0, 60.0, 2.3), np.arange(-2.0, 32.0, 1.7))
    points = shapely.points(xs.ravel(), ys.ravel())
    clear = shapely.distance(shapely.boundary(ground), points) > 0.05
    inside = shapely.contains(ground, points)
    searched = np.array([can_be_held(x, y, skew=skew) for x, y in zip(xs.ravel(), ys.ravel(), strict=True)])
    assert clear.sum() > 400
    assert inside[clear].sum() > 50
    np.testing.assert_array_equal(inside[clear], searched[clear])


def test_area_by_hand():
    """Straight down: each metre of travel gives MOST - LEAST; the bow only shifts the strip."""
    assert held().area == pytest.approx((TO - FROM) * (MOST - LEAST), rel=1e-9)


@pytest.mark.parametrize("skew", [10.0, 50.0])
def test_area_of_a_skewed_strip(skew):
    """Travel counts by its part across the flow; corners are kept to a micrometre, hence 1e-7."""
    across = (TO - FROM) * np.cos(np.radians(skew))
    assert held(skew=skew, columns=113).area == pytest.approx(across * (MOST - LEAST), rel=1e-7)


def test_a_mesh_that_folds_covers_what_it_does():
    """A steep bow beside a strongly skewed river: the strip crosses itself, and stays one valid ground."""
    at = np.linspace(0.0, 10.0, 41)
    steep = 12.0 * np.sin(np.pi * at / 10.0)
    places = boat_places_m(at_m=at, bow_m=steep, strand_m=np.array([[3.0], [8.0]]), skew_deg=55.0)
    ground = mesh_ground(places)
    assert ground.is_valid
    inside = places.mean(axis=0)
    assert shapely.covers(ground.buffer(1e-6), shapely.points(inside)).all()


@pytest.mark.parametrize("skew", [0.0, 30.0])
def test_share_of_a_work_area_against_counted_points(skew):
    area = shapely.Polygon([(2.0, 8.0), (30.0, 12.0), (44.0, 34.0), (10.0, 26.0)])
    found = reach_of(area, held(skew=skew))
    rng = np.random.default_rng(3)
    points = shapely.points(rng.uniform((0, 0), (50, 40), size=(60000, 2)))
    within = points[shapely.contains(area, points)]
    share = shapely.contains(held(skew=skew), within).mean()
    # three standard errors of the share of so many points
    assert found.share == pytest.approx(share, abs=3.0 * 0.5 / np.sqrt(len(within)))
    assert found.ground.area == pytest.approx(found.share * area.area)


def test_work_areas_without_surface():
    ground = held()
    inside, outside = shapely.Point(20.0, 15.0), shapely.Point(20.0, 60.0)
    assert reach_of(inside, ground).share == 1.0
    assert reach_of(outside, ground).share == 0.0
    assert reach_of(shapely.MultiPoint([inside, outside]), ground).share == 0.5
    # a line from the strip's near side, 5 + 5 m down in the middle, to as far again below its far side
    line = shapely.LineString([(20.0, 10.0), (20.0, 10.0 + 2.0 * (MOST - LEAST))])
    assert reach_of(line, ground).share == pytest.approx(0.5, abs=1e-3)


def test_all_and_none():
    ground = held()
    assert reach_of(shapely.Point(20.0, 18.0).buffer(2.0), ground).share == pytest.approx(1.0)
    none = reach_of(shapely.Point(80.0, 18.0).buffer(2.0), ground)
    assert none.share == 0.0
    assert none.ground.is_empty


@pytest.mark.parametrize(
    ("call", "text"),
    [
        (
            lambda: boat_places_m(at_m=[1.0], bow_m=[np.nan], strand_m=[3.0], skew_deg=0.0),
            "at_m, bow_m, strand_m: not finite; allowed: any finite length",
        ),
        (
            lambda: boat_places_m(at_m=[1.0], bow_m=[1.0], strand_m=[-3.0], skew_deg=0.0),
            "strand_m: negative; got -3 m; allowed 0 m or more",
        ),
        (
            lambda: mesh_ground(np.zeros((1, 5, 2))),
            "places_m: no mesh; got shape (1, 5, 2); allowed (2 or more, 2 or more, 2)",
        ),
        (
            lambda: reach_of(shapely.Polygon([(0, 0), (1, 1), (1, 0), (0, 1)]), held()),
            "work_area: empty, or crosses itself; allowed: a valid geometry",
        ),
    ],
)
def test_refusals(call, text):
    with pytest.raises(OutOfRange) as caught:
        call()
    assert str(caught.value) == text


@pytest.mark.parametrize("skew", [0.0, 25.0])
def test_a_mesh_that_does_not_fold_is_its_outline(skew):
    """Its cells lie side by side: together as large as the sum of them, and each of them covered."""
    at = np.linspace(FROM, TO, 15)
    places = boat_places_m(at_m=at, bow_m=bow(at), strand_m=np.array([[LEAST], [MOST]]), skew_deg=skew)
    ground = mesh_ground(places)
    cells = [
        shapely.Polygon([places[0, k], places[0, k + 1], places[1, k + 1], places[1, k]]) for k in range(14)
    ]
    assert ground.area == pytest.approx(sum(cell.area for cell in cells), rel=1e-9)
    assert all(ground.buffer(1e-9).contains(cell) for cell in cells)
