"""Who recorded what a phone sends: somebody else may be signed in on it by then."""

from config.errors import Conflict


class OtherPerson(Conflict):
    """Somebody else is signed in on the phone than the one who recorded."""

    code = "other_person"


def check_recorder(user, recorded_by, what):
    """Let nobody send as their own what another person recorded.

    Parameters
    ----------
    user : User
        Who is signed in.
    recorded_by : int or None
        Id of who was signed in while it was recorded; None where it is not said.
    what : str
        What that person did, such as 'walked this edge'.

    Raises
    ------
    OtherPerson
    """
    if recorded_by not in (None, user.pk):
        raise OtherPerson(
            f"Somebody else {what} than {user.shown_name}, who is signed in; sign in as the person who did."
        )
