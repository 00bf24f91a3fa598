"""Place every measure: which part, which dimension, in which role."""

from __future__ import annotations

from benchscribe.place.options import Placed, Switches
from benchscribe.records import InHand, Measure, Mentions, PartList, TradeNumber, Transcript


def place(
    transcript: Transcript,
    measures: tuple[Measure, ...],
    trade_numbers: tuple[TradeNumber, ...],
    mentions: Mentions,
    part_list: PartList | None,
    *,
    switches: Switches = Switches(),
) -> Placed:
    """Place every measure (the first version follows)."""
    hands = tuple(
        InHand(utterance=i, parts=(), confidence=0.0, start_s=u.start_s, end_s=u.end_s)
        for i, u in enumerate(transcript.utterances)
    )
    return Placed(measures, hands)
