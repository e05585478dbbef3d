"""What rules make of readings."""


def consider(reading):
    """Let every rule look at a reading that was stored, corrected or struck, in the transaction that does so."""
