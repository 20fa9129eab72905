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
