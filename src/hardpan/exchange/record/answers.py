"""Ten questions that a street is asked at hand-over, each answered from the record with the entries it rests on, or not recorded."""

from __future__ import annotations

from collections.abc import Callable

from hardpan.exchange.record import ground_answers, proof_answers
from hardpan.exchange.record.gathered import Gathered
from hardpan.exchange.record.sentences import Answer, Said

QUESTIONS: tuple[tuple[str, Callable[[Gathered], list[Said]]], ...] = (
    ("Who set the rate, when, and who heard it?", ground_answers.rate_set),
    ("What found the ground soft, and did it rain since?", ground_answers.soft_ground),
    ("Did the rate land there, not only on average?", ground_answers.rate_landed),
    ("Is the edge of the rate where the map says?", ground_answers.rate_edges),
    ("How deep was it mixed, measured from which surface?", proof_answers.depths),
    ("Density against which reference, with what delay?", proof_answers.densities),
    ("Was it rolled in time, counted from what start?", proof_answers.clocks),
    ("Was the water metered or guessed?", proof_answers.water),
    ("Was the axle test made as agreed?", proof_answers.axle_tests),
    ("What was entered or corrected after a bad result?", proof_answers.after_bad),
)


def ten_answers(record: Gathered) -> tuple[Answer, ...]:
    """Answers of the ten questions, in order."""
    return tuple(
        Answer(number, question, tuple(answer(record))) for number, (question, answer) in enumerate(QUESTIONS, start=1)
    )
