"""What Voila does before a page opens: it gives the token with which a page that is left ends its kernel."""

from typing import Any


def give_token(handler: Any, notebook: object, cwd: str) -> None:
    """Give the browser the token that it must show when it posts something: reading it sets its cookie."""
    _ = handler.xsrf_token


c = get_config()  # type: ignore[name-defined]  # noqa: F821
c.VoilaConfiguration.prelaunch_hook = give_token
