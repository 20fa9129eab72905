"""Bodies of a movable control point cut free, and the forces on each: for tests only.

Nothing of the package is used, and none of its forms: every force here is a tension along a unit vector, each
side of the track line is followed from its tie point by Irvine's equations with inverse hyperbolic sines (the
package follows it from the carriage, with a logarithm), sums are plain sums. Arrays; x (toward the far bank),
y (downstream) and z (up) are the first axis of every vector.

The bodies: the CARRIAGE on the track line, which a link joins to the steel RING below it; on the ring hang
the weight, the strands to the boat, the working strand and both ferry lines; the BOAT, whose bow ring the
strands hold against the current; and the whole of it, which the anchors hold.

H. M. Irvine, Cable Structures (1981), elastic catenary. For the least tension of a ferry line: a cable under
its own weight as a parabola (Beer and Johnston, Vector Mechanics: Statics, cables with distributed loads).
"""

import numpy as np


def vector(x, y, z):
    return np.stack(np.broadcast_arrays(x, y, z)).astype(float)


def size(forces):
    return np.sqrt((forces * forces).sum(axis=0))


def unit(way):
    return way / size(way)


def rope_end(anchor_pull, length, *, weight, stiffness):
    """Where a rope of an unstretched length leads from its anchor, and its pull on what hangs at its end.

    `anchor_pull` is what it pulls on the anchor with.
    """
    level = np.hypot(anchor_pull[0], anchor_pull[1])
    first, last = anchor_pull[2], anchor_pull[2] + weight * length
    run = length / stiffness + (np.arcsinh(last / level) - np.arcsinh(first / level)) / weight
    rise = 0.5 * length * (first + last) / stiffness
    rise += (np.hypot(level, last) - np.hypot(level, first)) / weight
    way = vector(anchor_pull[0] * run, anchor_pull[1] * run, rise)
    return way, -vector(anchor_pull[0], anchor_pull[1], last)


def strand_way(ring, *, flow, reach, least, bow_ring_z):
    """From the ring to the bow ring: down the flow, `reach` from the track line, never nearer than `least`.

    A ring under the bow ring pulls level.
    """
    out = np.maximum(reach - ring[1], least)
    return vector(flow[0] * out, flow[1] * out, -np.maximum(ring[2] - bow_ring_z, 0.0))


def strands_that_hold(drag, way):
    """Pull of all strands together along their way, whose level part is what the current pushes with."""
    along = unit(way)
    return drag / np.hypot(along[0], along[1])


def least_tension(way, *, ring_over_floor, station_over_floor, weight):
    """Of a ferry line as a parabola that touches the floor; ends 0.1 m over it or more; 1 kN at most."""
    a, b = np.maximum(ring_over_floor, 0.1), np.maximum(station_over_floor, 0.1)
    return np.minimum(weight * size(way) ** 2 / (2.0 * (np.sqrt(a) + np.sqrt(b)) ** 2), 1000.0)


def ferry_tensions(asked, *, ways, least):
    """Tensions of the near and the far ferry line, and what their least tensions leave of the force asked.

    `asked` is the force along the track line that all else leaves to them; each has at least its own, the far
    one adds what is still missing, or the near one what is too much.
    """
    near, far = (unit(way)[0] for way in ways)
    left = asked - least[0] * near - least[1] * far
    more_near, more_far = np.maximum(-left, 0.0) / np.abs(near), np.maximum(left, 0.0) / np.abs(far)
    return least[0] + more_near, least[1] + more_far, left


def catenary_heights(ends, *, tension, weight, shares):
    """Heights of a rope between two points, at shares of its level run from the first; shares' axis last.

    `ends` are two vectors, `tension` is along the chord. The catenary is the one whose ends are so far apart
    in height, found by halving: z = c cosh((s - s0) / c), with c the level tension over the weight.
    """
    way = ends[1] - ends[0]
    run = np.hypot(way[0], way[1])
    c = tension * run / size(way) / weight
    low, high = 0.5 * run - 40.0 * c, 0.5 * run + 40.0 * c
    for _ in range(90):
        middle = 0.5 * (low + high)
        rise = c * (np.cosh((run - middle) / c) - np.cosh(middle / c))
        low, high = np.where(rise > way[2], middle, low), np.where(rise > way[2], high, middle)
    c, run, middle, first = (each[..., np.newaxis] for each in (c, run, 0.5 * (low + high), ends[0][2]))
    return first + c * (np.cosh((shares * run - middle) / c) - np.cosh(middle / c))


def lowest_over_water(ends, *, tension, weight, past_edge, points=2000):
    """Lowest of a polyline on the rope, of its points that are over water.

    `past_edge` tells of places x, y by how much they are past the water's edge.
    """
    shares = np.linspace(0.0, 1.0, points)
    heights = catenary_heights(ends, tension=tension, weight=weight, shares=shares)
    x, y = (
        ends[0][axis][..., np.newaxis] + (ends[1] - ends[0])[axis][..., np.newaxis] * shares
        for axis in (0, 1)
    )
    return np.where(past_edge(x, y) >= 0.0, heights, np.inf).min(axis=-1)
