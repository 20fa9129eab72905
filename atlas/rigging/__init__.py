"""Rope statics and the rigs: the track line with a free carriage, exact, on arrays in SI."""

from atlas.rigging.rope import Rope
from atlas.rigging.segment import Segment, hang_segment
from atlas.rigging.trackline import TrackLine, TrackState

__all__ = ["Rope", "Segment", "TrackLine", "TrackState", "hang_segment"]
