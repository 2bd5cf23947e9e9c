"""What is in the way, computed from rough boxes: exact for boxes, to a stated tolerance for shapes."""

from sequencer.graph.geometry.against_file import Agreed, Scan, UnseenRelation, scan
from sequencer.graph.geometry.hits import Hit, Seen
from sequencer.graph.geometry.seen import see

__all__ = ["Agreed", "Hit", "Scan", "Seen", "UnseenRelation", "scan", "see"]
