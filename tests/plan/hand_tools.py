"""For sites worked out by hand: the ground, the loaded line as two parabolas, lengths.

Uses nothing of the package.
"""

from math import cos, hypot, radians, sin, sqrt

A_M, E2 = 6378137.0, 0.00669437999014  # WGS 84
G_M_S2 = 9.80665
MPH = 0.44704  # m/s
FT = 0.3048
PULL_N = 222.0  # a person, sustained
TENSION_ADDED_MOST = 1.30  # the whole system over drag alone


def plane_m(origin, place):
    """East, north [m] of a place a few hundred metres off, by the radii of curvature at the middle."""
    lat = radians((origin[1] + place[1]) / 2.0)
    bent = 1.0 - E2 * sin(lat) ** 2
    north_per_rad, east_per_rad = A_M * (1.0 - E2) / bent**1.5, A_M / sqrt(bent) * cos(lat)
    return radians(place[0] - origin[0]) * east_per_rad, radians(place[1] - origin[1]) * north_per_rad


def frame_of(near, far, *, near_bank):
    """x toward the far tie point, y downstream: to the left of near -> far where near is river left."""
    east, north = plane_m(near, far)
    span_m = hypot(east, north)
    ux, uy = east / span_m, north / span_m
    left = 1.0 if near_bank == "left" else -1.0

    def at(place):
        e, n = plane_m(near, place)
        return e * ux + n * uy, left * (n * ux - e * uy)

    return span_m, at


def crossing_m(at, one, other):
    """x where a bank drawn from one vertex to the next passes the track line."""
    (x1, y1), (x2, y2) = at(one), at(other)
    assert y1 * y2 < 0.0
    return x1 + y1 / (y1 - y2) * (x2 - x1)


def root(f, low, high):
    """Bisection; f changes sign between the ends."""
    below = f(low) < 0.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if (f(middle) < 0.0) == below else (low, middle)
    return 0.5 * (low + high)


def slack_length_m(*, span_m, rise_m, weight_n_m, ea_n, set_n):
    """Rope between the ties without tension: the parabola of the set line less its stretch."""
    chord_m = hypot(span_m, rise_m)
    return (chord_m + (weight_n_m * span_m) ** 2 * chord_m / (24.0 * set_n**2)) / (1.0 + set_n / ea_n)


def loaded(line, *, x_m, drag_n, down_n, set_n, ea_n, seating_m=0.0):
    """Tension, bow, height over the near tie of a line pulled at x; `down_n` may hang on bow and height."""
    span_m, rise_m, weight_n_m = line
    slack_m = seating_m + slack_length_m(
        span_m=span_m, rise_m=rise_m, weight_n_m=weight_n_m, ea_n=ea_n, set_n=set_n
    )

    def shape(tension_n):
        """Bow, height, and how much longer than the stretched rope the two sides are."""
        bow = height = 0.0
        for _ in range(60):
            near = sqrt(x_m**2 + bow**2 + height**2)
            far = sqrt((span_m - x_m) ** 2 + bow**2 + (rise_m - height) ** 2)
            both = 1.0 / near + 1.0 / far
            down = down_n(bow, height) if callable(down_n) else down_n
            bow = min(bow + 0.5 * (drag_n / (tension_n * both) - bow), span_m)  # a slack line's would run off
            # T (height / near + (height - rise) / far) = - down - half the weight of both sides
            sunk = (rise_m / far - (down + weight_n_m * (near + far) / 2.0) / tension_n) / both
            height = max(height + 0.5 * (sunk - height), -span_m)
        arcs = sum(side + (weight_n_m * side) ** 2 * side / (24.0 * tension_n**2) for side in (near, far))
        return bow, height, arcs - slack_m * (1.0 + tension_n / ea_n)

    tension_n = root(lambda t: -shape(t)[2], max(200.0, 0.6 * drag_n), 20000.0)
    bow, height, _ = shape(tension_n)
    return tension_n, bow, height


def under_boat(line, *, tie_m, rise_m, reach_m, drag_n, **held):
    """As `loaded`, with the carriage's 120 N and the strands' pull-down D h / r; ring 0.30 m under the line.

    The bow ring is 0.30 m over the water; the strands are the reach less the bow long, at least 3 m.
    """

    def down_n(bow, height):
        ring_over_bow = tie_m + height - 0.30 - rise_m - 0.30
        return 120.0 + drag_n * max(ring_over_bow, 0.0) / max(reach_m - bow, 3.0)

    return loaded(line, drag_n=drag_n, down_n=down_n, **held)


def clear_m(line, *, tie_m, rise_m, x_m, set_n, ea_n):
    """Clearance of the empty carriage, seated 0.15 m, its hardware 0.30 m under the line."""
    _, _, height = loaded(line, x_m=x_m, drag_n=0.0, down_n=120.0, set_n=set_n, ea_n=ea_n, seating_m=0.15)
    return tie_m + height - 0.30 - rise_m


def swamped_n(speed_m_s):
    """1/2 rho CdA v^2 with CdA 0.831 m2, surge 1.25."""
    return 0.5 * 1000.0 * 0.831 * 1.25 * speed_m_s**2


def held_n(speed_m_s):
    """CdA 0.30 m2, surge 1.5."""
    return 0.5 * 1000.0 * 0.30 * 1.5 * speed_m_s**2


def needed(parts, floor_m):
    """Sum, 10 % spare and at least 3 m, never under the floor."""
    own = sum(parts)
    return max(own + max(0.1 * own, 3.0), floor_m)


def case_of(plan, name):
    return next(case for case in plan.chosen.planning.cases if case.case == name)


def line_named(plan, name):
    return next(line for line in plan.chosen.lines if line.line == name)


def anchor_named(plan, tag):
    return next(anchor for anchor in plan.chosen.anchors if anchor.tag == tag)


# lengths along geodesics against the middle radii: 1e-5 over 50 m; typed places are told to 1e-7 degree, 1 cm
LENGTH = {"abs": 0.005}
# shallow parabolas against exact catenaries
TENSION, HEIGHT = {"rel": 0.003}, {"abs": 0.02}
