"""A deed that the yard does not accept."""


class Refused(Exception):  # noqa: N818  # the yard's word for it
    """What is wrong, and what to do."""

    def __init__(self, wrong: str, do: str) -> None:
        super().__init__(f"{wrong} {do}")
        self.wrong, self.do = wrong, do
