"""What is measured at the bench is answered in both languages, by the engines that the commands ask, and kept."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import httpx
import pytest
from starlette.testclient import TestClient

from longpoint.stretching.press import advice_of
from longpoint.web.pages.fitting import fitting, grams_in, lengths_in, strips, strips_told
from longpoint.web.told.voices import voice_for
from longpoint.web.words import texts, voice
from web.conftest import BATCH, Served, with_key

FRAME = {"width": 800.0, "height": 600.0}
EN, DE = voice("en"), voice("de")


def _fit(
    say: Callable[..., str] = EN, *, system: str = "mm", **given: str
) -> tuple[dict[str, list[str]], list[str]]:
    wrong, found, _ = fitting(FRAME, given, system=system, say=say, shown=voice_for("en", system))
    return wrong, [one["words"] for one in found]


def test_diagonals_say_where_to_push_and_the_same_in_german() -> None:
    # 1004 and 1000 on 800 × 600: both end at the root of their mean square, √(1002.002²) ≈ 1002 for rigid sides;
    # sides as planned give 1000 for equal diagonals, so the longer one is 4 too long. Law of cosines.
    wrong, (words,) = _fit(one="1004", other="995.9839356")
    assert wrong == {}
    assert "far right corner 4 mm" in words
    assert "both diagonals read 1000 mm" in words
    _, (german,) = _fit(DE, one="1004", other="995.9839356")
    assert german.startswith("**Aus dem Winkel**")
    assert "um 4 mm" in german


def test_a_side_that_is_off_is_named() -> None:
    # a trapezium of 806 and 800: its diagonals are √(806·800 + h² + 9), h = √(600² − 9)
    both = f"{(806 * 800 + 600**2) ** 0.5:.3f}"
    _, words = _fit(one=both, other=both, bottom="806")
    assert any("near side is 6 mm longer than the plan" in one for one in words) is False
    _, words = _fit(one=both, other=both, bottom="806", top="800")
    assert any("near side is 6 mm longer than the plan" in one for one in words)


@pytest.mark.parametrize(
    ("glue", "says"), [("open", "no packing"), ("setting", "pack 1.5 mm"), ("set", "pad of 6 mm")]
)
def test_wind_is_answered_by_what_the_glue_does(glue: str, says: str) -> None:
    _, (words,) = _fit(wind="6", glue=glue, corner="bottom-left")
    assert "6 mm" in words
    assert says in words


def test_what_cannot_be_is_said_beside_its_field() -> None:
    assert list(_fit(one="bananas", other="1000")[0]) == ["one"]
    assert "bananas" in _fit(DE, one="bananas")[0]["one"][0]
    assert list(_fit(one="1000")[0]) == ["other"]
    assert list(_fit(top="800")[0]) == ["one"]
    assert list(_fit()[0]) == ["one"]
    assert list(_fit(wind="300")[0]) == ["wind"]
    assert list(_fit(one="1500", other="1000")[0]) == ["one"]
    assert list(_fit(one="1300", other="1000")[0]) == ["other"]


def test_inches_are_read_and_said() -> None:
    _, (words,) = _fit(system="in", wind="1/4")
    assert "1/4 in" in words


def test_lengths_and_grams_are_read_with_what_is_wrong() -> None:
    found, wrong = lengths_in(
        {"a": "54.5 cm", "b": "", "c": "2 km", "d": "200 m"}, "abcd", system="mm", say=EN
    )
    assert found == {"a": 545.0}
    assert sorted(wrong) == ["c", "d"]
    assert grams_in({"m": "250 g"}, "m", say=EN) == (250.0, {})
    assert grams_in({"m": ""}, "m", say=EN) == (None, {})
    assert list(grams_in({"m": "-3"}, "m", say=EN)[1]) == ["m"]


def test_two_strips_say_what_the_cloth_will_pull() -> None:
    given = {"marks": "500", "loose": "485", "hung": "494", "width": "50", "mass": "1000"}
    wrong, answer = strips(given, system="mm", say=EN)
    assert wrong == {}
    assert answer is not None
    # a straight line through (loose, 0) and (hung, load): load · 15 / 9, load = 1 kg · g / 50 mm
    lines, tension = strips_told(answer, EN, voice_for("en", "mm"))
    assert tension == round(1000 * 9.80665 / 50 * 15 / 9, -1)
    assert f"**{tension} N/m**" in lines[1]
    alike, _ = strips({**given, "hung": "485"}, system="mm", say=DE)
    assert list(alike) == ["hung"]
    assert list(strips({**given, "mass": ""}, system="mm", say=EN)[0]) == ["mass"]


def test_every_verdict_of_a_press_test_has_its_advice_in_both_languages() -> None:
    for tension in (0.02, 0.08, 0.14, 0.25, 0.9):
        key = advice_of(tension).replace(",", "").replace(" ", "-")
        for language in ("en", "de"):
            assert f"press.do-{key}" in texts(language)


def test_the_shop_is_kept_in_the_file_with_its_comments(client: TestClient) -> None:
    key = with_key(client)
    ident = client.post("/api/batches", json={"text": BATCH}, headers=key).json()["ident"]
    said = {
        "shop.saw.kerf": "2.6 mm",
        "shop.rates.per_hour": "32",
        "climate.humidity_high": "70",
        "show": "in",
    }
    assert client.post(f"/b/{ident}/shop", data=said, headers=key).status_code == 303
    text = client.get(f"/api/batches/{ident}").json()["text"]
    assert text.startswith(BATCH.splitlines()[0])
    assert "# the small one" in text
    assert 'kerf = "2.6 mm"' in text
    assert "per_hour = 32" in text
    page = client.get(f"/b/{ident}/shop").text
    assert 'value="2.6 mm"' in page
    answer = client.post(f"/b/{ident}/shop", data={"shop.people": "bananas"}, headers=key)
    assert answer.status_code == 422
    assert re.search(r'id="e-shop-people"[^>]*>[^<]*bananas', answer.text)
    assert client.get(f"/api/batches/{ident}").json()["text"] == text


def test_screws_come_and_go(client: TestClient) -> None:
    key = with_key(client)
    ident = client.post("/api/batches", json={"text": BATCH}, headers=key).json()["ident"]
    more = client.post(f"/b/{ident}/more", data={"kind": "screw"}, headers=key)
    assert more.headers["location"] == f"/b/{ident}/shop#screw-1"
    client.post(f"/b/{ident}/shop", data={"screw[1].price": "7.5"}, headers=key)
    assert "price = 7.5" in client.get(f"/api/batches/{ident}").json()["text"]
    less = client.post(f"/b/{ident}/less", data={"kind": "screw", "number": "1"}, headers=key)
    assert less.headers["location"] == f"/b/{ident}/shop"
    assert "screw" not in client.get(f"/api/batches/{ident}").json()["text"]


def test_measures_of_the_sheets_can_be_other_than_the_unit_of_the_file(client: TestClient) -> None:
    key = with_key(client)
    text = 'unit = "in"\n[[work]]\nname = "Fen"\nwidth = 30\nheight = 20\n'
    ident = client.post("/api/batches", json={"text": text}, headers=key).json()["ident"]
    page = client.get(f"/b/{ident}/shop").text
    assert re.search(r'<option value="" selected>inches', page)
    assert '<option value="mm"' in page
    client.post(f"/b/{ident}/shop", data={"show": "mm"}, headers=key)
    assert 'show = "mm"' in client.get(f"/api/batches/{ident}").json()["text"]


@pytest.fixture
def at_bench(served: Served) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=served.url, timeout=120, follow_redirects=True) as made:
        made.headers["x-longpoint-key"] = made.get("/api/key").json()["key"]
        yield made


pytestmark = pytest.mark.xdist_group("browser")


def _told(page: str, ident: str) -> str:
    found = re.search(rf'id="{ident}"(.*?)</section>', page, re.DOTALL)
    assert found is not None
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", found[1]))


def _post(client: httpx.Client, path: str, **values: Any) -> httpx.Response:
    return client.post(path, data=values)


@pytest.mark.slow
def test_bars_as_they_came_and_an_inside_length_make_the_next_lengths(
    at_bench: httpx.Client, served: Served
) -> None:
    path = f"/b/{served.ident}/glue/A"
    told = _told(_post(at_bench, f"{path}/lengths", bars="20.4").text, "lengths")
    # 600 − 2 · 20.4
    assert "559.2 mm not measured yet" in told
    told = _told(_post(at_bench, f"{path}/lengths", **{"bars": "", "inside-A3": "55.7 cm"}).text, "lengths")
    assert "A3 2 558 mm 557 mm A4 1 558 mm 557 mm not measured yet" in told
    assert "far from" not in told
    told = _told(_post(at_bench, f"{path}/lengths", **{"inside-A3": "530"}).text, "lengths")
    assert "Measure again" in told
    answer = _post(at_bench, f"{path}/lengths", **{"inside-A3": "x"})
    assert answer.status_code == 422
    saw = at_bench.get(f"/b/{served.ident}/saw").text
    assert "530" in saw  # the stop is what was measured
    _post(at_bench, f"{path}/lengths", **{"inside-A3": ""})
    assert "not measured yet" not in _told(at_bench.get(path).text, "lengths")


@pytest.mark.slow
def test_a_press_test_is_answered_like_the_command_and_kept_in_the_book(
    at_bench: httpx.Client, served: Served
) -> None:
    path = f"/b/{served.ident}/stretch/A"
    page = at_bench.get(path).text
    dip = re.search(r"it dips ([\d.]+) mm", _told(page, "press"))
    assert dip is not None
    told = _told(_post(at_bench, f"{path}/press", dip=dip[1]).text, "press")
    # the first dip that is expected is the one at the slack end of the window, 150 N/m
    read = re.search(r"(Slack|Right): (\d+) N/m", told)
    assert read is not None
    assert abs(int(read[2]) - 150) < 8
    label = re.search(r"Kept under (\S+)", told)
    assert label is not None
    assert f"dip under the press: {dip[1]} mm" in at_bench.get("/book").text
    deep = _post(at_bench, f"{path}/press", dip="60")
    assert deep.status_code == 422
    assert "No tension explains" in _told(deep.text, "press")
    at_bench.cookies.set("longpoint_words", "de")
    assert "Keine Spannung" in _told(_post(at_bench, f"{path}/press", dip="60").text, "press")


@pytest.mark.slow
def test_cuts_of_the_cloth_are_ticked(at_bench: httpx.Client, served: Served) -> None:
    path = f"/b/{served.ident}/cloth"
    page = at_bench.get(path).text
    what = re.search(r'name="what" value="([0-9a-f]+/cloth/1/1)"', page)
    assert what is not None
    for state, more in (("done", 1), ("", 0)):  # and taken back: other tests tick it, too
        _post(at_bench, f"/b/{served.ident}/tick", kind="cloth", what=what[1], state=state, back=path)
        ticked = at_bench.get(path).text.count('aria-pressed="true"')
        assert ticked == page.count('aria-pressed="true"') + more
