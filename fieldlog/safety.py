"""What can hurt somebody at this work, and the usual caution against it."""


def safety_known():
    """The cautions as a phone keeps them: [{"key", "title", "sentences", "source"}]."""
    return []
