"""The words that only the chapter on the works run through uses."""

RUN_WORDS: tuple[tuple[str, str], ...] = (
    ("band", "between its edges lie nine of ten single runs: what one year may bring"),
    ("interval", "between its ends lies the mean of endlessly many runs, as surely as is said"),
    ("piles up", "finished pieces that wait to be married lie in store, more than now and then"),
    ("run", "the works run through once by events, with its own chance of hours, absence, faults"),
    ("seed", "the number all chance of the runs hangs on; the same seed gives the same figures"),
    ("standing time", "working days in which nothing is done at a vehicle that is inside"),
    ("stands", "work queues before a place: half a piece or more waits for it on average"),
    ("vehicle-days", "working days that vehicles stand, summed over vehicles; of a year here"),
    ("warm-up", "the weeks at the start of a run from empty that do not count"),
)
