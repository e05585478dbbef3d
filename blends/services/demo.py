"""The demonstration property."""

PEOPLE = []
PASSWORD = ""


def is_loaded():
    return False


def load_demo():
    pass
