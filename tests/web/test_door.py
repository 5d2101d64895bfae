"""A shared workshop: who is not signed in sees nothing, each role does what it may, and no trick gets past that."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from fastapi.routing import APIRoute
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from longpoint.store import open_store, place_of
from longpoint.store.benches.people import ROLES, TRIES, add_person, trail
from longpoint.store.tables import Event
from longpoint.web.app import Settings, make_app
from longpoint.web.door import CHANGES, OPEN, READS
from longpoint.web.safety import SAFE_METHODS
from longpoint.web.serve import Sharing
from web.conftest import BATCH, with_key

PASSWORD = "five wet brushes"
SECURE = Sharing("192.0.2.20", ("workshop.local",), shared=True, certificate=(Path("c"), Path("k")))

Enter = Callable[..., TestClient]


@pytest.fixture
def workshop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Enter]:
    """Somebody in front of a browser of their own, signed in with a role or not at all."""
    quick = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    monkeypatch.setattr("longpoint.store.benches.people._HASHER", quick)
    data = tmp_path / "desk"
    store = open_store(place_of(str(data), {}))
    with store.writing("setup") as desk:
        for role in ROLES:
            add_person(desk, role.title(), PASSWORD, role)
    app = make_app(Settings(data=data, hosts=SECURE.hosts(8443), shared=True, secure=True))
    made: list[TestClient] = []

    def enter(role: str = "") -> TestClient:
        client = TestClient(app, base_url="https://workshop.local:8443", follow_redirects=False)
        if made:  # one server, many browsers
            made.append(client)
        else:
            made.append(client.__enter__())
        if role:
            assert sign_in(client, role.title()).status_code == 303
        return client

    yield enter
    if made:
        made[0].__exit__(None, None, None)
    store.close()


def sign_in(client: TestClient, name: str, password: str = PASSWORD, **more: str):
    key = re.search(r'name="key" value="([0-9a-f]+)"', client.get("/sign-in").text)
    assert key is not None
    return client.post("/sign-in", data={"key": key[1], "name": name, "password": password, **more})


def routes(client: TestClient) -> list[tuple[str, str]]:
    """Every way in: method and path; routers stand whole among an application's routes, or each route by itself."""
    inside = client.app._app._app
    found = [one for some in inside.routes for one in getattr(some, "original_router", inside).routes]
    listed = {(method, one.path) for one in found if isinstance(one, APIRoute) for method in one.methods}
    return sorted(listed)


def filled(way: str, ident: str = "0123456789ab") -> str:
    for hole, value in {"ident": ident, "code": "A", "label": "W1", "number": "1", "run": "0" * 12, "name": "Bench",
                        "name:path": "pages.css", "weight": "bold"}.items():  # fmt: skip
        way = way.replace("{" + hole + "}", value)
    assert "{" not in way, way
    return way


def test_who_is_not_signed_in_sees_the_door_and_nothing_else(workshop: Enter) -> None:
    client = workshop()
    key = with_key(client)
    asked = routes(client)
    assert len(asked) > 60
    for method, way in asked:
        path = filled(way)
        if path.startswith(OPEN):
            continue
        answer = client.request(method, path, headers=key)
        if path.startswith("/api"):
            assert answer.status_code in (303, 401), path
        else:
            assert answer.status_code == 303 and answer.headers["location"].startswith("/sign-in"), path
    assert "Porch" not in client.get("/").text
    assert client.get("/nothing-there").status_code == 303
    fragment = client.get("/b/0123456789ab/answer/1", headers={"hx-request": "true"})
    assert fragment.status_code == 401 and fragment.headers["hx-redirect"].startswith("/sign-in")


def test_every_way_in_that_changes_something_says_which_role_it_needs(workshop: Enter) -> None:
    changing = {way for method, way in routes(workshop()) if method not in SAFE_METHODS}
    assert changing - CHANGES.keys() == set(), "say in web/door.py who may do that"
    assert CHANGES.keys() - changing == set()
    assert READS.keys() <= {way for _, way in routes(workshop())}


@pytest.mark.parametrize("role", ROLES)
def test_each_role_may_what_it_may_and_no_more(workshop: Enter, role: str) -> None:
    client = workshop(role)
    key = with_key(client)
    for method, way in routes(client):
        if way in ("/sign-in", "/sign-out", "/people/{name}") or filled(way).startswith(
            ("/static", "/fonts")
        ):
            continue
        need = READS.get(way, "look") if method in SAFE_METHODS else CHANGES[way]
        answer = client.request(method, filled(way), headers=key)
        may = ROLES.index(role) >= ROLES.index(need)
        assert (answer.status_code != 403) == may, (role, method, way, answer.status_code)
        assert answer.status_code < 500


def test_who_looks_cannot_tick_who_ticks_cannot_plan_who_plans_keeps_no_accounts(workshop: Enter) -> None:
    planner = workshop("plan")
    made = planner.post("/api/batches", json={"text": BATCH}, headers=with_key(planner))
    ident = made.json()["ident"]
    looker, bench = workshop("look"), workshop("bench")
    tick = {"kind": "buy", "what": "boards", "state": "done"}
    page = looker.post(f"/b/{ident}/tick", data=tick, headers=with_key(looker))
    assert page.status_code == 403 and "may look, but not tick" in page.text
    assert bench.post(f"/b/{ident}/tick", data=tick, headers=with_key(bench)).status_code != 403
    assert bench.delete(f"/api/batches/{ident}", headers=with_key(bench)).status_code == 403
    assert planner.get("/people").status_code == 403
    more = {"name": "Eve", "password": PASSWORD, "role": "own"}
    assert planner.post("/people", data=more, headers=with_key(planner)).status_code == 403
    owner = workshop("own")
    assert owner.post("/people", data=more, headers=with_key(owner)).status_code == 303
    assert "Eve" in owner.get("/people").text


def test_cookies_go_only_encrypted_to_no_script_and_to_no_other_site(workshop: Enter) -> None:
    client = workshop()
    answer = sign_in(client, "Own")
    cookies = answer.headers.get_list("set-cookie")
    assert len(cookies) == 2
    for cookie in cookies:
        assert {"secure", "httponly", "samesite=strict"} <= set(re.split(r"; ?", cookie.lower()))
    assert any(cookie.startswith("__Host-longpoint_session=") and "Path=/" in cookie for cookie in cookies)


def test_a_session_that_was_put_on_a_browser_beforehand_becomes_nobodys(workshop: Enter) -> None:
    client = workshop()
    client.cookies.set("__Host-longpoint_session", "planted", domain="workshop.local")
    client.cookies.set("longpoint_key", "ab" * 16, domain="workshop.local")
    key = client.get("/api/key").json()["key"]
    answer = client.post("/sign-in", data={"key": key, "name": "Own", "password": PASSWORD})
    given = {
        cookie.partition("=")[0]: cookie.split(";")[0].partition("=")[2]
        for cookie in answer.headers.get_list("set-cookie")
    }
    assert given["__Host-longpoint_session"] not in ("planted", "")
    assert given["longpoint_key"] != "ab" * 16
    thief = workshop()
    assert thief.get("/", headers={"cookie": "__Host-longpoint_session=planted"}).status_code == 303
    # the key that was known before signing in opens nothing after
    forged = {"cookie": f"__Host-longpoint_session={given['__Host-longpoint_session']}; "
              f"longpoint_key={given['longpoint_key']}", "x-longpoint-key": key}  # fmt: skip
    assert thief.post("/new", data={"work": "Reeds: 70 x 50 cm"}, headers=forged).status_code == 403


def test_after_signing_out_the_cookie_opens_nothing(workshop: Enter) -> None:
    client = workshop("own")
    kept = client.cookies["__Host-longpoint_session"]
    replay = {"cookie": f"__Host-longpoint_session={kept}"}
    assert workshop().get("/", headers=replay).status_code == 200
    assert client.post("/sign-out", headers=with_key(client)).status_code == 303
    assert client.get("/").status_code == 303
    assert workshop().get("/", headers=replay).status_code == 303


def test_a_form_of_another_site_signs_nobody_in_or_out(workshop: Enter) -> None:
    client = workshop("own")
    for headers in (
        {"origin": "https://evil.example"},
        {"origin": "http://workshop.local:8443"},
        {"sec-fetch-site": "cross-site"},
    ):
        key = with_key(client)
        assert client.post("/sign-out", headers={**key, **headers}).status_code == 403
        form = {"name": "Look", "password": PASSWORD}
        assert client.post("/sign-in", data=form, headers={**key, **headers}).status_code == 403
    assert client.post("/sign-in", data={"name": "Look", "password": PASSWORD}).status_code == 403  # no key
    assert ">Own</a>" in client.get("/").text
    assert client.get("/", headers={"host": "evil.example"}).status_code == 421


def test_who_signs_in_goes_on_where_they_were_and_only_there(workshop: Enter) -> None:
    client = workshop()
    assert client.get("/book").headers["location"] == "/sign-in?back=/book"
    assert sign_in(client, "Look", back="/book").headers["location"] == "/book"
    for back in ("//evil.example", "https://evil.example", "/\\evil"):
        assert sign_in(workshop(), "Look", back=back).headers["location"] == "/"


def test_wrong_passwords_shut_a_name_and_are_kept_in_the_store(workshop: Enter, tmp_path: Path) -> None:
    client = workshop()
    answers = [sign_in(client, "Own", "guess guess") for _ in range(TRIES)]
    assert {answer.status_code for answer in answers} == {401}
    nobody = sign_in(client, "Nobody", "guess guess")
    shut = sign_in(client, "Own", PASSWORD)
    assert shut.status_code == 401 and "quarter of an hour" in shut.text
    assert re.sub("Nobody|[0-9a-f]{64}", "", nobody.text) == re.sub("Own|[0-9a-f]{64}", "", shut.text)
    assert sign_in(client, "Look").status_code == 303
    store = open_store(place_of(str(tmp_path / "desk"), {}))
    with store.reading() as desk:
        wrong = [line for line in trail(desk) if line.what == "wrong password"]
    store.close()
    assert len(wrong) == TRIES + 1 and {line.who for line in wrong} == {"testclient"}


@pytest.mark.parametrize("name", ["\x00", "x" * 5000, "O\nwn", "<script>", "", "' or 1=1 --", "\udcff"])
def test_hostile_names_and_passwords_are_only_wrong(workshop: Enter, name: str) -> None:
    client = workshop()
    key = with_key(client)
    for form in ({"name": name, "password": PASSWORD}, {"name": "Look", "password": name}):
        body = "&".join(f"{field}={_quoted(value)}" for field, value in form.items())
        answer = client.post(
            "/sign-in", content=body, headers={**key, "content-type": "application/x-www-form-urlencoded"}
        )
        assert answer.status_code in (401, 404, 422) and "<script>" not in answer.text.replace(
            "<script src", ""
        )


def _quoted(text: str) -> str:
    return "".join(f"%{byte:02x}" for byte in text.encode("utf-8", "surrogateescape"))


def test_an_account_that_is_closed_or_changed_is_out_at_once(workshop: Enter) -> None:
    bench, owner = workshop("bench"), workshop("own")
    form = {"role": "bench", "close": "yes"}
    assert owner.post("/people/Bench", data=form, headers=with_key(owner)).status_code == 303
    assert bench.get("/").status_code == 303
    last = owner.post("/people/Own", data={"role": "look"}, headers=with_key(owner))
    assert last.status_code == 422 and "last who keeps accounts" in last.text


def test_somebody_takes_another_password_and_signs_in_anew_everywhere(workshop: Enter) -> None:
    here, there = workshop("look"), workshop("look")
    for old, new, why in (
        ("guess guess", "two dry palettes", "not the password"),
        (PASSWORD, "short", "8 to 1000"),
    ):
        answer = here.post("/me", data={"old": old, "new": new}, headers=with_key(here))
        assert answer.status_code == 422 and why in answer.text
    done = here.post("/me", data={"old": PASSWORD, "new": "two dry palettes"}, headers=with_key(here))
    assert done.status_code == 303
    assert here.get("/").status_code == there.get("/").status_code == 303
    assert sign_in(here, "Look").status_code == 401
    assert sign_in(here, "Look", "two dry palettes").status_code == 303


def test_alone_on_one_machine_nothing_of_it_is_in_the_way(client: TestClient) -> None:
    assert client.get("/").status_code == 200
    for path in ("/sign-in", "/me", "/people"):
        assert client.get(path).status_code == 404
    for path in ("/sign-in", "/sign-out", "/me", "/people"):
        form = {"name": "x", "password": "y", "old": "x", "new": "y", "role": "own"}
        assert client.post(path, data=form, headers=with_key(client)).status_code == 404
    assert "sign-out" not in client.get("/").text and "data-who" not in client.get("/").text


def test_what_is_done_stands_under_the_name_of_who_signed_in(workshop: Enter, tmp_path: Path) -> None:
    planner = workshop("plan")
    stated = {"thickness": "21", "depth": "44", "length": "1.8 m"}
    assert planner.post("/rack", data=stated, headers=with_key(planner)).status_code == 303
    store = open_store(place_of(str(tmp_path / "desk"), {}))
    with store.reading() as desk:
        assert [row.who for row in desk.session.query(Event)] == ["Plan"]
    store.close()


WAYS = {
    "/sign-in": ("name", "password", "back"),
    "/people": ("name", "password", "role"),
    "/people/Bench": ("password", "role", "close"),
    "/me": ("old", "new"),
}


@pytest.mark.slow
@settings(max_examples=150, deadline=None, database=None, suppress_health_check=list(HealthCheck))
@given(way=st.sampled_from(sorted(WAYS)), words=st.lists(st.text(max_size=90), min_size=3, max_size=3))
def test_no_word_in_a_form_of_the_door_breaks_it(workshop: Enter, way: str, words: list[str]) -> None:
    client = workshop("own")
    form = dict(zip(WAYS[way], words, strict=False))
    answer = client.post(way, data=form, headers=with_key(client))
    assert answer.status_code < 500, (way, form)
