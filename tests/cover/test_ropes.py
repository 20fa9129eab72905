from atlas.cover import RopePiece, pieces_of
from atlas.records import Agency, RopeStock


def stock(name, *, count=1, retired=False):
    return RopeStock(
        name=name,
        length_m=61.0,
        diameter_m=0.0125,
        kind="static",
        fibre="nylon",
        strength_n=40e3,
        elongation=0.04,
        elongation_basis="10pct",
        weight_n_m=1.02,
        count=count,
        since=None,
        retired=retired,
    )


def agency(code, *ropes):
    return Agency(
        code=code,
        name=code,
        station=None,
        minutes=(),
        crew=(),
        radio=None,
        ropes=ropes,
        gear=(),
        boats=(),
        launchers=(),
    )


def test_each_piece_once_in_order_and_none_that_is_retired():
    agencies = [
        agency("B", stock("Red", count=2), stock("Old", count=3, retired=True)),
        agency("A", stock("Red"), stock("None left", count=0)),
    ]
    pieces = pieces_of(agencies)
    assert [(piece.agency, piece.name, piece.index) for piece in pieces] == [
        ("B", "Red", 1),
        ("B", "Red", 2),
        ("A", "Red", 1),
    ]
    assert pieces[0] == RopePiece(
        agency="B",
        name="Red",
        length_m=61.0,
        diameter_m=0.0125,
        kind="static",
        strength_n=40e3,
        index=1,
    )
