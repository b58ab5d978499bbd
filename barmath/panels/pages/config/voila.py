"""What Voila asks before a page opens. Without the token that it gets here, a page that is left cannot end its kernel."""


def give_token(handler, notebook, cwd) -> None:
    """Give the browser the token that it must show when it posts something: reading it sets its cookie."""
    _ = handler.xsrf_token


c = get_config()  # type: ignore[name-defined]  # noqa: F821
c.VoilaConfiguration.prelaunch_hook = give_token
