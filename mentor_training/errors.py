"""What can go wrong for a reason a person can act on; knows nothing of HTTP."""


class Refused(Exception):
    """An act that the rules do not allow, with every reason; nothing of it is stored."""

    def __init__(self, *reasons: str) -> None:
        super().__init__("; ".join(reasons))
        self.reasons = reasons


class Stale(Refused):
    """What somebody looked at was changed by somebody else before their form came; nothing of it is stored."""


class NotFound(Exception):
    """There is no such thing, or none that this person may know of."""

    def __init__(self, what: str) -> None:
        super().__init__(what)
        self.what = what


class NotAllowed(Exception):
    """The thing exists, and this person's roles do not open it."""

    def __init__(self, what: str) -> None:
        super().__init__(what)
        self.what = what


class PdfUnavailable(Exception):
    """This machine lacks a library that PDFs need; the message is one line that says how to add it."""
