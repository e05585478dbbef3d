"""What `manage.py start` is made of: the data folder, the parts that run, and the minding of them."""


class CannotStart(Exception):
    """One sentence for the person at the terminal."""
