"""The closure of a loaded line: miss, tangent, where Newton's method begins; alone and with its load."""

import numpy as np
import pytest

from atlas.rigging.balance import Batch, Trial, close, miss, tangent
from atlas.rigging.coupled import held, joint, moved
from atlas.rigging.pulls import Hung, Tended
from atlas.rigging.settle import Row, settle
from atlas.rigging.starts import careful_start, lumped_place, quick_start

COUNT = 400


def lines(seed=61, count=COUNT, **changes):
    """Loaded lines taut enough that every start is near."""
    random = np.random.default_rng(seed)
    span = random.uniform(15.0, 120.0, count)
    rise = span * random.uniform(-0.08, 0.08, count)
    stiffness = np.exp(random.uniform(np.log(30e3), np.log(4e5), count))
    values = {
        "span": span,
        "rise": rise,
        "unstretched": np.hypot(span, rise) / (1.0 + random.uniform(800.0, 4000.0, count) / stiffness) + 0.05,
        "weight": random.uniform(0.5, 2.0, count),
        "stiffness": stiffness,
        "at": span * random.uniform(0.1, 0.9, count),
        "downstream": random.uniform(100.0, 4000.0, count),
        "down": random.uniform(-100.0, 1500.0, count),
    }
    return Batch(**(values | changes))


def solved(batch):
    """The trial that closes a batch, from what `settle` hands back."""
    rows = settle(batch)
    length = rows[Row.NEAR_LENGTH]
    return Trial(rows[Row.TENSION], -rows[Row.NEAR_UP] - batch.weight * length, length)


def beside(trial, share, seed=62):
    """A trial off by a share of its tension and length."""
    random = np.random.default_rng(seed)
    one, two, three = random.uniform(-share, share, (3, trial.tension.size))
    return Trial(
        trial.tension * (1.0 + one), trial.lift + two * trial.tension, trial.length * (1.0 + 0.1 * three)
    )


def test_a_solved_line_misses_nothing_and_one_beside_it_does():
    batch = lines()
    trial = solved(batch)
    assert np.all(miss(batch, close(batch, trial)) <= 1e-11)
    assert np.all(miss(batch, close(batch, beside(trial, 1e-4))) > 1e-8)


def test_a_miss_is_never_told_smaller_than_it_is():
    """Both ends followed to where they lie, in metres, in the plane of each side."""
    batch = lines()
    closure = close(batch, beside(solved(batch), 1e-6))
    run = np.sqrt(closure.horizontal_squares) * closure.ends.run_a_newton
    wanted = np.hypot(batch.runs, closure.bow)
    off = np.maximum(np.abs(run - wanted).max(axis=0), np.abs(closure.rise_gap)) / batch.span
    # half the difference of squares is the gap times the mean run, to half of its share
    assert np.all(miss(batch, closure) >= off * (1.0 - 1e-5))


def test_what_is_no_rope_misses_without_end():
    batch = lines(count=2)
    trial = solved(batch)
    backward = Trial(trial.tension, trial.lift, -trial.length)
    with np.errstate(invalid="ignore", divide="ignore"):
        assert np.all(miss(batch, close(batch, backward)) == np.inf)


def test_newton_s_step_closes_as_the_square():
    """A tenth of the way off leaves a hundredth of the miss: only the true tangent does that."""
    batch = lines()
    truth = solved(batch)
    left = []
    for share in (1e-3, 1e-4):
        trial = beside(truth, share)
        closure = close(batch, trial)
        there = trial.moved(tangent(batch, trial, closure).step(closure))
        left.append(np.abs(there.tension / truth.tension - 1.0))
    assert np.all(left[0] < 1e-3)
    assert np.median(left[1] / left[0]) == pytest.approx(0.01, rel=0.3)


def test_gaps_closed_by_the_tangent_are_those_that_are_told():
    """The changes it names, put in, change the gaps by what was asked, to first order."""
    batch = lines()
    trial = solved(batch)
    closure = close(batch, trial)
    line = tangent(batch, trial, closure)
    random = np.random.default_rng(63)
    runs = 1e-5 * batch.span**2 * random.uniform(-1.0, 1.0, (2, COUNT))
    rise = 1e-5 * batch.span * random.uniform(-1.0, 1.0, COUNT)
    there = close(batch, trial.moved(line.closing(runs, rise)))
    # sum of the old gap and the change is nothing where the tangent is true
    for changed, asked in ((there.run_gaps, runs), (there.rise_gap, rise)):
        off = np.abs(changed - closure.run_gaps * (np.ndim(asked) == 2) + asked) / np.abs(asked).max()
        assert np.quantile(off, 0.9) < 0.02


@pytest.mark.parametrize("angle_deg", [17.0, 90.0, 200.0])
def test_without_weight_a_turned_load_turns_the_carriage(angle_deg):
    """Round the line of the tie points: the same tension, the draw turned as far."""
    zero = np.zeros(COUNT)
    batch = lines(rise=zero, weight=np.full(COUNT, 1e-7), down=zero)
    turned = np.radians(angle_deg)
    pull = batch.downstream
    around = batch.loaded(pull * np.cos(turned), pull * np.sin(turned))
    here, there = settle(batch), settle(around)
    np.testing.assert_allclose(there[Row.TENSION], here[Row.TENSION], rtol=1e-6)
    np.testing.assert_allclose(there[Row.BOW], here[Row.BOW] * np.cos(turned), rtol=0, atol=1e-5)
    np.testing.assert_allclose(there[Row.HEIGHT], -here[Row.BOW] * np.sin(turned), rtol=0, atol=1e-5)
    np.testing.assert_allclose(there[Row.ALONG], here[Row.ALONG], rtol=0, atol=1e-2)


STARTS = [quick_start, careful_start]


@pytest.mark.parametrize("start", STARTS)
def test_a_start_is_near_and_without_weight_all_there_is(start):
    """Straight parts: within a tenth with the rope's weight, nearly exact without it and without a slope."""
    batch = lines()
    off = np.abs(start(batch).tension / solved(batch).tension - 1.0)
    assert np.quantile(off, 0.95) < 0.1
    bare = lines(rise=np.zeros(COUNT), weight=np.full(COUNT, 1e-7), at=0.5 * batch.span, span=batch.span)
    assert np.all(np.abs(start(bare).tension / solved(bare).tension - 1.0) < 2e-3)


def mirrored(batch):
    return Batch(
        batch.span, -batch.rise, batch.unstretched, batch.weight, batch.stiffness, batch.span - batch.at,
        batch.downstream, batch.down,
    )  # fmt: skip


def scaled(batch, *, longer, heavier):
    return Batch(
        longer * batch.span, longer * batch.rise, longer * batch.unstretched,
        heavier / longer * batch.weight, heavier * batch.stiffness, longer * batch.at,
        heavier * batch.downstream, heavier * batch.down,
    )  # fmt: skip


@pytest.mark.parametrize("start", STARTS)
def test_a_start_is_mirrored_and_scaled_with_its_line(start):
    batch = lines()
    here, there = start(batch), start(mirrored(batch))
    np.testing.assert_allclose(there.tension, here.tension, rtol=1e-9)
    np.testing.assert_allclose(there.length, batch.unstretched - here.length, rtol=1e-9)
    # its lift is taken from the near side alone: a start, and no more
    assert np.all(np.abs(there.lift + here.lift - batch.down) < 0.05 * here.tension)
    larger = start(scaled(batch, longer=1.5, heavier=2.0))
    np.testing.assert_allclose(larger.tension, 2.0 * here.tension, rtol=1e-9)
    np.testing.assert_allclose(larger.length, 1.5 * here.length, rtol=1e-9)


def test_the_place_of_the_lumped_rope():
    """Near the true place; mirrored with the line; with a light pull the taut string's, x1 x2 P / (L T)."""
    batch = lines()
    give, place, along = lumped_place(batch)
    rows = settle(batch)
    assert np.quantile(np.abs(place[0] - rows[Row.BOW]) / batch.span, 0.9) < 0.03
    other_give, other, other_along = lumped_place(mirrored(batch))
    np.testing.assert_allclose(other_give, give, rtol=1e-9)
    np.testing.assert_allclose(other[0], place[0], rtol=1e-9)
    np.testing.assert_allclose(other[1], place[1] + batch.rise, rtol=0, atol=1e-9)
    np.testing.assert_allclose(other_along, -along, rtol=0, atol=1e-6)
    zero, taut = np.zeros(COUNT), 3000.0
    light = lines(
        rise=zero, weight=np.full(COUNT, 1e-7), down=zero, downstream=np.full(COUNT, 1.0),
        unstretched=batch.span / (1.0 + taut / batch.stiffness), span=batch.span,
    )  # fmt: skip
    _, place, _ = lumped_place(light)
    np.testing.assert_allclose(place[0], light.at * (light.span - light.at) / (light.span * taut), rtol=1e-3)


def hung(batch, seed=64):
    """Strands, working strand and ferry lines on every carriage, all well inside their folds."""
    random = np.random.default_rng(seed)
    one = np.ones(batch.count)
    x = np.stack([-5.0 - batch.at, 5.0 + batch.span - batch.at, -5.0 - batch.at])
    yd = np.stack([np.array([[-9.0], [-9.0], [8.0]]) * one, random.uniform(-0.5, 0.5, (3, batch.count))])
    return Hung(
        drag=random.uniform(300.0, 2500.0, batch.count), along=0.1 * one, downstream=np.sqrt(0.99) * one,
        weight=120.0 * one, ring_drop=0.3 * one, bow_ring=6.0 * one, reach=60.0 * one, strand_least=3.0 * one,
        tended=Tended(
            share=0.5 * one, half_weight=0.4 * one, rub=0.1 * one, floor=9.0 * one, x=x, yd=yd
        ),
    )  # fmt: skip


def test_line_and_load_close_together_as_the_square():
    """A carriage with all that hangs on it: off by a tenth as much, a hundredth as far off a step later."""
    batch = lines(61, rise=np.zeros(COUNT))
    hang = hung(batch)
    at = held(batch.loaded(hang.drag, hang.weight), hang, solved(batch.loaded(hang.drag, hang.weight)))
    for _ in range(12):
        at = moved(at, hang, joint(at, hang).step(at))
    truth = np.stack([at.batch.downstream, at.batch.down])
    assert np.all(np.abs(at.gap) < 1e-8 * (hang.drag + hang.weight))
    random = np.random.default_rng(65)
    turn = random.uniform(-1.0, 1.0, (2, COUNT)) * hang.drag
    left = []
    for share in (1e-2, 1e-3):
        load = truth + share * turn
        near = batch.loaded(load[0], load[1])
        trial = held(near, hang, solved(near))
        stepped = moved(trial, hang, joint(trial, hang).step(trial))
        left.append(np.abs(np.stack([stepped.batch.downstream, stepped.batch.down]) - truth).max(axis=0))
    assert np.median(left[1] / left[0]) == pytest.approx(0.01, rel=0.5)
