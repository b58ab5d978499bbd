"""JupyterLab as README starts it: on the loopback address alone, and nothing without its token."""

import json
import re
import urllib.error
import urllib.request
from pathlib import Path

import psutil
import pytest
from browser.driver import readme_command

ASKED = ("api/contents", "api/kernels", "api/sessions", "files/notebooks/demo/shop.toml", "lab")


def test_it_listens_on_the_loopback_address_alone(lab):
    server = psutil.Process(lab.process.pid)
    heard = [c.laddr for one in (server, *server.children(recursive=True)) for c in one.net_connections("inet")
             if c.status == psutil.CONN_LISTEN]  # fmt: skip
    assert lab.port in {address.port for address in heard}
    assert {address.ip for address in heard} <= {"127.0.0.1", "::1"}


@pytest.mark.parametrize("path", ASKED)
def test_without_its_token_it_gives_nothing_away(lab, path):
    url = f"http://127.0.0.1:{lab.port}/{path}"
    for token in ("", "?token=wrong"):
        try:
            with urllib.request.urlopen(url + token, timeout=10) as answer:
                where, said = answer.url, answer.read()
        except urllib.error.HTTPError as refused:
            where, said = f"refused {refused.code}", b""
        assert where == "refused 403" or "/login" in where
        assert b"outside_diameter" not in said


def test_with_its_token_it_answers(lab):
    with urllib.request.urlopen(f"http://127.0.0.1:{lab.port}/api/contents?token={lab.token}", timeout=10) as answer:
        assert "notebooks" in {one["name"] for one in json.load(answer)["content"]}


def test_nothing_in_the_project_opens_it_to_others(root):
    command = " ".join(readme_command())
    for opening in ("--ip", "0.0.0.0", "token=", "allow_root", "allow-root", "password", "allow_origin", "no-browser"):
        assert opening not in command
    configured = [path.name for path in Path(root).glob("**/jupyter*config*") if ".venv" not in path.parts]
    assert configured == []
    workflow = (root / ".ci" / "run").read_text(encoding="utf-8")
    assert not re.search(r"jupyter.*--ip", workflow)
