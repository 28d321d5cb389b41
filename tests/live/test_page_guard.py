"""Which requests the live page answers: no page elsewhere can read it, by whatever name it reaches this machine."""

from __future__ import annotations

import pytest

from reviewer.live.page_guard import place_of, refusal

PORT = 8321
HERE = ["127.0.0.1:8321"]


@pytest.mark.parametrize(
    ("hosts", "origins", "sites"),
    [
        pytest.param(HERE, [], [], id="a person's address"),
        pytest.param(["localhost:8321"], [], ["none"], id="by the other name"),
        pytest.param(HERE, ["http://127.0.0.1:8321"], ["same-origin"], id="the page itself"),
        pytest.param(["LOCALHOST:8321"], ["http://LocalHost:8321"], [], id="in capitals"),
    ],
)
def test_the_page_itself_is_answered(hosts: list[str], origins: list[str], sites: list[str]) -> None:
    assert refusal(hosts, origins, sites, PORT) == ""


@pytest.mark.parametrize(
    ("hosts", "origins", "sites"),
    [
        pytest.param(["elsewhere.example:8321"], [], [], id="a name that was led to this machine"),
        pytest.param(["127.0.0.1:8321.elsewhere.example"], [], [], id="a name that begins so"),
        pytest.param(["127.0.0.1"], [], [], id="another port"),
        pytest.param(["127.0.0.1:8322"], [], [], id="the next port"),
        pytest.param(["127.0.0.2:8321"], [], [], id="another address of this machine"),
        pytest.param(["0.0.0.0:8321"], [], [], id="any address"),
        pytest.param([], [], [], id="no host"),
        pytest.param([*HERE, "elsewhere.example"], [], [], id="two hosts"),
        pytest.param([""], [], [], id="an empty host"),
        pytest.param(HERE, ["http://elsewhere.example"], [], id="another origin"),
        pytest.param(HERE, ["null"], [], id="a page without an origin"),
        pytest.param(HERE, ["https://127.0.0.1:8321"], [], id="another scheme"),
        pytest.param(HERE, ["http://127.0.0.1:8322"], [], id="another page of this machine"),
        pytest.param(HERE, ["http://127.0.0.1:8321", "http://elsewhere.example"], [], id="two origins"),
        pytest.param(HERE, [], ["cross-site"], id="a picture or script of another site"),
        pytest.param(HERE, [], ["same-site"], id="another port of this machine"),
    ],
)
def test_a_page_elsewhere_is_refused(hosts: list[str], origins: list[str], sites: list[str]) -> None:
    assert refusal(hosts, origins, sites, PORT).startswith("The request ")


@pytest.mark.parametrize(
    ("target", "place"),
    [
        ("/token/", ""),
        ("/token/page", "page"),
        ("/token/page?3", "page"),
        ("/token/changes", "changes"),
        ("/token", None),
        ("/", None),
        ("", None),
        ("/other/page", None),
        ("/toke/page", None),
        ("/tokenx/page", None),
        ("/t\u00f6ken/page", None),
        ("/token/../page", None),
        ("/token/page/", None),
        ("/token/my.design.yaml", None),
        ("/token//etc/passwd", None),
        ("/token/%70age", None),
        ("http://127.0.0.1:8321/token/page", None),
        ("//token/page", None),
    ],
)
def test_nothing_but_the_page_and_its_changes_is_there(target: str, place: str | None) -> None:
    assert place_of(target, "token") == place
